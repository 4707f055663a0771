import { describe, expect, it } from 'vitest';
import { DAY, HOUR, later, MINUTE, type Millis } from '../../src/units/index.ts';
import { cardOf, html, tagsOf, textOf, textWith, titleOf } from './page.ts';
import {
  alert,
  always,
  crowdedRoom,
  device,
  emptyHouse,
  kwh,
  measured,
  money,
  NIGHT,
  price,
  room,
  sumOf,
  tank,
  UNKNOWN,
} from './views.ts';

function rowOf(page: string, name: string): string {
  const found = page.split('<tr>').find((row) => row.includes(`<bdi>${name}</bdi><span`));
  if (found === undefined) throw new Error(`no row of ${name}`);
  return textOf(`<tr>${found}`);
}

describe('a quiet room', () => {
  const page = html(room());
  const text = textOf(page);

  it('says that no alert is open, how the tanks stand and what all costs', () => {
    expect(text).toContain('No open alerts');
    expect(text).toContain('Within the kept range: 2 of 3 tanks');
    expect(text).toContain('No probe: Gravel bay');
    expect(text).toContain('Today $0.40 2.00 kWh');
    expect(text).toContain('This month $12.00 60.00 kWh');
    expect(text).toContain('Rate now: Night, $0.0794/kWh');
    expect(titleOf({})).toBe('$0.40 today · Heron loft');
  });

  it('says as of when, and how it renews', () => {
    expect(text).toContain('Jan 14, 2026, 3:10 a.m. · last reading 3:09 a.m. · renews every 15 s');
    expect(page).toContain('<meta http-equiv="refresh" content="15; url=/"/>');
  });

  it('shows each tank with its temperature, its range and its cost', () => {
    expect(cardOf(page, 'Reed pool')).toContain('Reed pool | 24.1 °C');
    expect(cardOf(page, 'Reed pool')).toContain('within the kept 22.0 to 26.0 °C');
    expect(cardOf(page, 'Reed pool')).toContain('month $4.80 24.00 kWh');
    expect(cardOf(page, 'Gravel bay')).toContain('no probe');
    expect(cardOf(page, 'Gravel bay')).toContain('to be kept at 22.0 to 26.0 °C');
    expect(cardOf(page, 'Gravel bay')).not.toContain('within');
  });

  it('shows upkeep beside the tanks, and the air of the rooms', () => {
    expect(text).toContain('Upkeep');
    expect(text).toContain('Loft 19.5 °C, 44.6% humidity');
    expect(text).toContain('Porch temperature unknown');
  });

  it('shows what each device draws and whom it serves', () => {
    expect(rowOf(page, 'Reed heater')).toContain('Reed heaterheater, Reed pool | 96 W');
    expect(rowOf(page, 'Air blower')).toContain('air pump, Reed pool 60% and 2 more');
    expect(text).toContain('All devices');
  });

  it('says what it never does, and what to keep', () => {
    expect(text).toContain('it never switches equipment');
    expect(text).toContain('RCD/GFCI on every circuit near water');
    expect(text).toContain('licensed electrician');
  });

  it('has one main heading and leaves out no level', () => {
    const levels = tagsOf(html(crowdedRoom()))
      .map((tag) => /^<h([1-6])/.exec(tag)?.[1])
      .filter((level) => level !== undefined)
      .map(Number);
    expect(levels.filter((level) => level === 1)).toHaveLength(1);
    levels.forEach((level, at) => {
      expect(level - (levels[at - 1] ?? 0)).toBeLessThanOrEqual(1);
    });
  });

  it('is English, whatever the locale of its numbers', () => {
    const view = room();
    const austrian = html({ ...view, site: { ...view.site, locale: 'de-AT', currency: 'EUR' } });
    expect(austrian).toContain('<html lang="en">');
    expect(textOf(austrian)).toContain('€ 12,00');
  });
});

describe('an empty house', () => {
  const text = textOf(html(emptyHouse()));

  it('says what is not configured, and draws no table of nothing', () => {
    expect(text).toContain('No tank is configured yet.');
    expect(text).toContain('No device is configured yet, so there is nothing to count.');
    expect(html(emptyHouse())).not.toContain('<table');
    expect(text).not.toContain('Within the kept range');
    expect(text).not.toContain('Rooms');
  });

  it('claims neither that all is well nor that it costs nothing', () => {
    expect(text).toContain('Nothing heard yet');
    expect(text).not.toContain('No open alerts');
    expect(text).toContain('Today unknown');
    expect(text).toContain('This month unknown');
  });
});

describe('a page that cannot know', () => {
  it('says when nothing has been heard since the start, and how to find out why', () => {
    const text = textWith({ lastReading: undefined });
    expect(text).toContain('Nothing heard yet');
    expect(text).toContain('nothing is watched yet');
    expect(text).toContain('‘ampulla listen’ shows what the broker carries');
    expect(text).not.toContain('last reading');
    expect(titleOf({ lastReading: undefined })).toMatch(/^Nothing heard yet · /);
  });

  it('says when the whole house has fallen silent', () => {
    expect(textWith({ lastReading: later(NIGHT, -15 * MINUTE) })).not.toContain('Nothing heard');
    const text = textWith({ lastReading: later(NIGHT, -16 * MINUTE) });
    expect(text).toContain('Nothing heard for 16 min');
    expect(text).toContain('All plugs and probes are silent, so nothing is watched.');
    const days = textWith({ lastReading: later(NIGHT, -3 * DAY) });
    expect(days).toContain('last reading Jan 11, 2026, 3:10 a.m.');
  });

  it('says since when there is no broker, before anything else', () => {
    const broker = { connected: false, since: later(NIGHT, -3 * HOUR) };
    const text = textWith({ broker });
    expect(text).toContain('No connection to the broker |');
    expect(text).toContain(
      'Since Jan 14, 2026, 12:10 a.m. nothing is heard, so nothing is watched',
    );
    expect(text).not.toContain('No open alerts');
    expect(textWith({ broker, alerts: [alert()] })).toContain(
      'No connection to the broker; 1 critical alert',
    );
  });

  it('shows what was not heard as not heard, and an old value as old, with its time', () => {
    const view = room({
      tanks: [
        tank({ name: 'Mute', temperature: undefined }),
        tank({ name: 'Stale', temperature: measured(29.3, 4 * HOUR, true) }),
      ],
      devices: [
        device({ name: 'Unheard', power: undefined }),
        device({ name: 'Silent', power: measured(96, HOUR, true) }),
      ],
      rooms: [
        {
          id: 'loft',
          name: 'Loft',
          temperature: measured(12.4, 5 * HOUR, true),
          humidity: measured(50),
        },
      ],
    });
    const page = html(view);
    expect(cardOf(page, 'Mute')).toContain('not heard yet');
    expect(cardOf(page, 'Mute')).not.toContain('within');
    expect(cardOf(page, 'Stale')).toContain('29.3 °C');
    expect(cardOf(page, 'Stale')).toContain('old reading, Jan 13, 2026, 11:10 p.m.');
    // 29.3 °C would be above the range, but nobody knows whether it still is.
    expect(cardOf(page, 'Stale')).not.toContain('above');
    expect(page).not.toContain('class="mark"');
    expect(rowOf(page, 'Unheard')).toContain('| unknown |');
    expect(rowOf(page, 'Silent')).toContain('| silent |');
    expect(rowOf(page, 'Silent')).not.toContain('96 W');
    expect(textOf(page)).toContain('Loft 12.4 °C (old, Jan 13, 2026, 10:10 p.m.), 50% humidity');
    expect(textOf(page)).toContain('Old reading: Stale');
    expect(textOf(page)).toContain('Not heard yet: Mute');
  });
});

describe('what the figures leave out', () => {
  it('is told of standing charges, of prices that will change and of the other price', () => {
    const page = textWith({
      standing: money(9.4),
      provisional: true,
      otherwise: { at: 'marginal', month: money(13.5) },
      rate: { name: 'All hours', perKwh: price(0.107825), provisional: true },
    });
    expect(page).toContain('Rate now: All hours, $0.107825/kWh, so far');
    expect(page).toContain('they settle when it is over');
    expect(page).toContain('what comes on top of the rest of the house, this month is $13.50.');
    expect(page).toContain('Standing charges of this month, $9.40, are not in these figures.');
  });

  it('is not told where nothing is left out', () => {
    const page = textWith({});
    expect(page).not.toContain('Standing');
    expect(page).not.toContain('on top of the rest');
    expect(page).not.toContain('settle');
  });

  it('says that a price is not known rather than none', () => {
    expect(
      textWith({ rate: { name: 'By the hour', perKwh: undefined, provisional: false } }),
    ).toContain('Rate now: By the hour, its price is not known');
  });

  it('tells how far the past has been priced anew', () => {
    expect(textWith({ repricing: 0.4 })).toContain('40% priced anew');
    expect(textWith({})).not.toContain('priced anew');
  });

  it('shows no power of one device for a plug that feeds several, and marks its cost', () => {
    const shared = device({
      plug: 'shared',
      sums: always(sumOf({ counted: 4 }, { divided: kwh(4) })),
    });
    const row = rowOf(html(room({ devices: [shared] })), 'Reed heater');
    expect(row).toContain('shared plug');
    expect(row).toContain('~about');
  });
});

describe('a cost on the page', () => {
  it('is unknown where nothing is known, and not nothing', () => {
    const page = html(
      room({ totals: always(UNKNOWN), devices: [device({ sums: always(UNKNOWN) })] }),
    );
    expect(textOf(page)).toContain('Today unknown');
    expect(titleOf({ totals: always(UNKNOWN) })).toContain('unknown today');
    expect(rowOf(page, 'Reed heater')).toContain('unknown3.0 h unknown');
  });

  it('says when there is no tariff, and has no price for what it counted', () => {
    const unpriced = sumOf({ counted: 12 }, { unpriced: kwh(12), cost: money(0) });
    const text = textWith({ rate: undefined, totals: always(unpriced) });
    expect(text).toContain('No tariff holds now: energy is counted, but has no price.');
    expect(text).toContain('Today no price 12.00 kWh');
    expect(text).toContain('12.00 kWh without a price');
  });

  it('is marked, in signs and in words, where it is not wholly measured or known', () => {
    const page = html(room());
    expect(rowOf(page, 'Moss lamp')).toContain('no plug');
    expect(rowOf(page, 'Moss lamp')).toContain('~about $1.00');
    expect(rowOf(page, 'Reed heater')).not.toContain('~');
    const gap = always(sumOf({ counted: 10 }, { coverage: 0.5, missing: (31 * HOUR) as Millis }));
    const holed = html(room({ devices: [device({ sums: gap })] }));
    expect(rowOf(holed, 'Reed heater')).toContain('$2.00+ and more10.00 kWh, 31.0 h unknown');
    expect(textOf(page)).toContain(
      '~ about: more than a tenth of it is reckoned, bridged, or divided',
    );
  });

  it('says of the month how each part is known, and of how much time nothing is', () => {
    const month = sumOf(
      { counted: 80, integrated: 14, bridged: 2, reckoned: 4 },
      { missing: (6.2 * HOUR) as Millis },
    );
    expect(textWith({ totals: always(month) })).toContain(
      'This month: 80% counted by a meter; 14% integrated from power; 2% bridged over a gap; 4% reckoned, no plug; nothing known of 6.2 h, all devices together.',
    );
  });

  it('gives no parts of a sum that is nothing or less', () => {
    expect(textWith({ totals: always(sumOf({})) })).not.toContain('This month:');
    const sold = textWith({ totals: always(sumOf({ counted: 3, integrated: -4 })) });
    expect(sold).not.toMatch(/NaN|Infinity|-\d+%/);
    expect(sold).toContain('-$0.20');
  });
});

describe('a house of thousands', () => {
  const devices = Array.from({ length: 1_300 }, (_, index) =>
    device({ id: `thing-${index}`, name: `Thing ${index}` }),
  );

  it('lists the dearest devices, and says how many more there are and where', () => {
    const page = html(room({ devices }));
    expect(page.match(/<tr>/g)).toHaveLength(200 + 2);
    expect(page).toContain('Thing 199<');
    expect(page).not.toContain('Thing 200<');
    expect(textOf(page)).toContain('1,100 more cost less this month.');
    expect(page).toContain('<a href="/?still">See all, held still</a>');
  });

  it('lists all of them on the page that is held still', () => {
    const page = html(room({ devices }), true);
    expect(page.match(/<tr>/g)).toHaveLength(1_300 + 2);
    expect(textOf(page)).not.toContain('more cost less');
  });
});

describe('the page while it changes', () => {
  it('shows how far a history has come, and renews quickly', () => {
    const filling = { done: 0.4, until: later(NIGHT, -20 * DAY) };
    const page = html(room({ filling }));
    expect(textOf(page)).toContain(
      'Past weeks are being read in: 40% so far, up to Dec 25, 2025, 3:10 a.m. (figures still grow)',
    );
    expect(page).toContain('<progress id="filling" max="1" value="0.4">');
    expect(page).toContain('content="3; url=/"');
  });

  it('can be held still, to be read in peace, and let go again', () => {
    expect(html(room())).toContain('<a href="/?still">hold it still</a>');
    const still = html(room({ alerts: [alert()] }), true);
    expect(still).not.toContain('http-equiv="refresh"');
    expect(still).toContain('held still; <a href="/">let it renew</a>');
  });
});
