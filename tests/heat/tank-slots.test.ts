import { describe, expect, it } from 'vitest';
import { type TankRecord, tankSlots } from '../../src/heat/index.ts';
import { type Instant, type Millis, type MilliwattHours, SLOT } from '../../src/units/index.ts';

const at = (place: number) => (place * SLOT) as Instant;
const entry = (
  device: string,
  place: number,
  wh: number,
  more: Partial<{ known: 'counted' | 'bridged' | 'reckoned'; covered: number }> = {},
) => ({
  slot: at(place),
  device,
  known: more.known ?? ('counted' as const),
  energy: (wh * 1000) as MilliwattHours,
  covered: (more.covered ?? SLOT) as Millis,
});

const record: TankRecord = {
  tank: [0, 1].map((place) => ({ slot: at(place), celsius: 25 })),
  room: [0, 1].map((place) => ({ slot: at(place), celsius: 20 })),
  devices: [
    { id: 'heater', heater: true, intoWater: 1, metered: true },
    { id: 'canister', heater: false, intoWater: 0.7, metered: true },
    { id: 'tubes', heater: false, intoWater: 0.4, metered: false },
  ],
  entries: [0, 1].flatMap((place) => [
    entry('heater', place, 10),
    entry('canister', place, 2.5),
    entry('tubes', place, 5, { known: 'reckoned' }),
    entry('elsewhere', place, 500),
  ]),
  corrected: [],
  disturbed: [],
};

const changed = (change: Partial<TankRecord>) => tankSlots({ ...record, ...change });
const doubts = (change: Partial<TankRecord>) => changed(change).map(({ doubtful }) => doubtful);

describe('a tank by quarter-hours, from climate and books,', () => {
  it('has the heaters’ power, and of other devices what ends in the water', () => {
    expect(tankSlots(record)).toEqual(
      [0, 1].map((place) => ({
        slot: at(place),
        tankC: 25,
        roomC: 20,
        heaterW: 40,
        // 10 W × 0.7 and 20 W × 0.4; a reckoned lamp is as good as it is known.
        otherW: 15,
        doubtful: false,
        disturbed: false,
      })),
    );
  });

  it('adds up what one device has of several kinds', () => {
    const split = [
      entry('heater', 0, 6, { covered: SLOT / 2 }),
      entry('heater', 0, 4, { covered: SLOT / 2 }),
      entry('canister', 0, 2.5),
    ];
    expect(changed({ entries: split })[0]).toMatchObject({ heaterW: 40, doubtful: false });
  });

  it('is doubtful where a plug was not heard, or a gap was bridged', () => {
    const but = (entries: TankRecord['entries']) => ({
      entries: [
        entry('heater', 0, 10),
        entry('canister', 0, 2.5),
        entry('canister', 1, 2.5),
        ...entries,
      ],
    });
    expect(doubts(but([]))).toEqual([false, true]);
    expect(doubts(but([entry('heater', 1, 10, { covered: SLOT / 2 })]))).toEqual([false, true]);
    expect(doubts(but([entry('heater', 1, 10, { known: 'bridged' })]))).toEqual([false, true]);
    expect(doubts(but([entry('heater', 1, 10)]))).toEqual([false, false]);
  });

  it('is doubtful where a keeper corrected one of its devices', () => {
    const span = { from: at(1), to: at(2) };
    expect(doubts({ corrected: [{ device: 'heater', span }] })).toEqual([false, true]);
    expect(doubts({ corrected: [{ device: 'elsewhere', span }] })).toEqual([false, false]);
  });

  it('is doubtful throughout where a heater has no plug', () => {
    const devices = record.devices.map((device) => ({ ...device, metered: false }));
    expect(doubts({ devices })).toEqual([true, true]);
  });

  it('is disturbed where a span touches it', () => {
    const disturbed = [{ from: (SLOT + 60_000) as Instant, to: (SLOT + 120_000) as Instant }];
    expect(changed({ disturbed }).map((slot) => slot.disturbed)).toEqual([false, true]);
  });

  it('does not know the room where nothing was measured', () => {
    expect(changed({ room: record.room.slice(1) }).map(({ roomC }) => roomC)).toEqual([
      undefined,
      20,
    ]);
  });
});
