import { describe, expect, it } from 'vitest';
import { createSurvey } from '../../src/readings/index.ts';
import { instant } from '../../src/units/index.ts';
import { guessed, NOON, sent, told } from './listening.ts';

const every = (seconds: number, count: number): number[] =>
  Array.from({ length: count }, (_, index) => index * seconds);

describe('guessing', () => {
  it('tells power, counters and what is not billed in nested JSON', () => {
    const messages = every(10, 30).map((second) => {
      const meter = {
        power: 300 + (second % 3),
        total: 412 + (300 * second) / 3.6e6,
        today: 1.6 + (300 * second) / 3.6e6,
        yesterday: 3.12,
        apparent: 301,
        factor: 0.99,
        voltage: 230 + (second % 2),
        current: 1.3,
      };
      return sent('fishroom/discus/state', { meter, wifi: { rssi: -61 }, uptime: second }, second);
    });
    expect(told(guessed(messages))).toEqual({
      'fishroom/discus/state /meter/power': 'sure power W',
      'fishroom/discus/state /meter/total': 'sure counter kWh',
      'fishroom/discus/state /meter/today': 'sure counter kWh daily',
      'fishroom/discus/state /meter/yesterday': 'sure energy of a day gone by',
      'fishroom/discus/state /meter/apparent': 'sure apparent power, which is never billed',
      'fishroom/discus/state /meter/factor': 'sure a power factor',
      'fishroom/discus/state /meter/voltage': 'sure voltage V',
      'fishroom/discus/state /meter/current': 'maybe a current',
      'fishroom/discus/state /wifi/rssi': 'sure a signal strength',
      'fishroom/discus/state /uptime': 'sure a clock',
    });
  });

  it.each([
    ['kWh', 1 / 1000],
    ['Wh', 1],
    ['mWh', 1000],
    ['Ws', 3600],
    ['Wmin', 60],
  ])('finds a counter in %s by the power beside it', (unit, perWattHour) => {
    const messages = every(10, 40).flatMap((second) => {
      const counted = 5000 + (600 * second * perWattHour) / 3600;
      return [sent('m/pump/power', '600', second), sent('m/pump/energy', `${counted}`, second)];
    });
    const found = told(guessed(messages));
    expect(found['m/pump/energy']).toBe(`sure counter ${unit}`);
    expect(found['m/pump/power']).toBe('sure power W');
  });

  it('takes a tiny power in fractions for kilowatts when the counter beside it agrees', () => {
    const messages = every(60, 30).map((second) =>
      sent('m/lamp', { active: 0.04, energy: 7 + (0.04 * second) / 3600 }, second),
    );
    expect(told(guessed(messages))).toEqual({
      'm/lamp /active': 'likely power kW',
      'm/lamp /energy': 'likely counter kWh',
    });
  });

  it('keeps a unit that stands in the name, however small the load', () => {
    const messages = every(60, 30).map((second) =>
      sent('m/pump', { watts: 3, energy: 7 + (3 * second) / 3600 }, second),
    );
    expect(told(guessed(messages))).toEqual({
      'm/pump /watts': 'sure power W',
      'm/pump /energy': 'sure counter Wh',
    });
  });

  it('lets numbers that do not tell follow their neighbors, but not into another quantity', () => {
    const messages = every(60, 5).flatMap((second) => [
      sent('racks/1/draw', '60', second),
      sent('racks/1/drawn', `${(5 + second / 60_000).toFixed(4)}`, second),
      sent('racks/2/draw', '0', second),
      sent('racks/2/drawn', '3.25', second),
      sent('probes/den-air', `${20 + (second % 120) / 600}`, second),
      sent('probes/gecko', `${24 + (second % 120) / 600}`, second),
      sent('probes/pressure', '1013', second),
    ]);
    expect(told(guessed(messages))).toEqual({
      'racks/1/draw': 'sure power W',
      'racks/1/drawn': 'sure counter kWh',
      'racks/2/draw': 'likely power W',
      'racks/2/drawn': 'likely counter kWh',
      'probes/den-air': 'likely temperature C',
      'probes/gecko': 'likely temperature C',
      'probes/pressure': 'maybe unclear',
    });
  });

  it.each([
    ['seconds', 1],
    ['milliseconds', 1000],
  ])('knows a nameless clock in %s by its pace', (_, perSecond) => {
    const messages = every(10, 6).map((second) =>
      sent('m/lamp/n', `${77 + second * perSecond}`, second),
    );
    expect(told(guessed(messages))).toEqual({ 'm/lamp/n': 'likely a clock' });
  });

  it('holds its tongue where neighbors contradict each other', () => {
    const messages = every(60, 3).flatMap((second) => [
      sent('y/power/n', '5', second),
      sent('y/temp/n', '25.5', second),
      sent('y/other/n', '7', second),
    ]);
    expect(told(guessed(messages))['y/other/n']).toBe('maybe unclear');
  });

  it.each([
    ['a/wohnzimmer/leistung', [12, 15.5], 'likely power W'],
    ['a/salon/puissance', [12, 15.5], 'likely power W'],
    ['a/x/active_power_kw', [0.3, 0.2], 'sure power kW'],
    ['a/x/powerW', [30, 20], 'sure power W'],
    ['a/keller/zähler_kwh', [12.1, 12.2], 'sure counter kWh'],
    ['a/x/watt_minutes', [500, 512], 'sure counter Wmin'],
    ['a/x/energia', [12.1, 12.1], 'likely counter kWh'],
    ['a/x/energy', [12, 13], 'likely counter Wh'],
    ['a/x/heute', [1.1, 1.2], 'likely counter kWh daily'],
    ['a/x/water_temp', [25.1, 25.2], 'sure temperature C'],
    ['a/becken/Temperatur', [25.1, 25.2], 'sure temperature C'],
    ['a/x/temperature_f', [77, 78], 'sure temperature F'],
    ['a/x/temperature', [77, 78], 'likely temperature F'],
    ['a/x/temperature', [254, 255], 'maybe unclear'],
    ['a/x/cpu_temperature', [45, 46], 'sure the inside of an appliance'],
    ['a/x/target_temperature', [25, 25], 'sure a setting'],
    ['a/x/luftfeuchte', [61, 62], 'sure humidity %'],
    ['a/x/humidity', [0.61, 0.62], 'likely humidity fraction'],
    ['a/x/humidity', [610, 620], 'maybe unclear'],
    ['a/x/spannung', [229, 231], 'sure voltage V'],
    ['a/x/mains_mv', [120_100, 121_300], 'sure voltage mV'],
    ['a/x/voltage', [84, 120], 'sure a voltage, not of the mains'],
    ['a/x/voltage', [230, 266], 'sure a voltage, not of the mains'],
    ['a/x/voltage', [2.9, 3.1], 'sure a voltage, not of the mains'],
    ['a/x/battery_voltage', [100, 101], 'sure a battery'],
    ['a/x/battery', [88, 88], 'sure a battery'],
    ['a/x/energy_export', [1, 2], 'sure energy sent back'],
    ['a/x/power_factor', [0.9, 0.95], 'sure a power factor'],
    ['a/x/apparent_power', [90, 95], 'sure apparent power, which is never billed'],
    ['a/x/current_power', [90, 95], 'likely power W'],
    ['a/x/total_power', [90, 80], 'likely power W'],
    ['a/x/energy', [90, 80, 85, 70], 'maybe unclear'],
    ['a/x/energy', [-5, -4], 'maybe unclear'],
    ['a/x/7', [3, 9, 4], 'maybe unclear'],
    ['a/x/7', [21.1, 21.3, 21.2, 21.4], 'maybe temperature C'],
    ['a/x/7', [1, 2, 4, 7, 11, 16], 'maybe counter Wh'],
  ])('takes %s with %j for %s', (topic, values, expected) => {
    const messages = values.map((value, index) => sent(topic, String(value), index * 60));
    const [only] = guessed(messages);
    expect(Object.values(told(guessed(messages)))).toEqual([expected]);
    expect(only?.reasons.length).toBeGreaterThan(0);
  });

  it('names a counter that falls to zero each midnight, by the clock of the zone', () => {
    const midnight = Date.UTC(2026, 0, 15, 6) - NOON;
    const messages = every(600, 200).map((second) => {
      const day = second * 1000 < midnight ? second + 40_000 : second - midnight / 1000;
      return sent('m/lamp/energy', (day / 36_000).toFixed(3), second);
    });
    const [there] = guessed(messages, { zone: 'America/Winnipeg' });
    expect(there).toMatchObject({ is: 'counter', restarts: 'at-midnight' });
    expect(there?.reasons).toContain('fell to nothing at midnight');
    const [elsewhere] = guessed(messages, { zone: 'Europe/Helsinki' });
    expect(elsewhere).toMatchObject({ is: 'counter', restarts: 'never' });
    expect(elsewhere?.reasons).toContain('fell to nothing: starts again now and then');
  });

  it('sees a broken sensor among sound temperatures', () => {
    const messages = [85, 24.9, 25, -127, 25.1].map((value, index) =>
      sent('water/discus/temp', String(value), index * 30),
    );
    expect(guessed(messages)[0]).toMatchObject({
      is: 'temperature',
      unit: 'C',
      sentinels: [85, -127],
    });
  });

  it('takes words of coming and going for presence', () => {
    const found = guessed([
      sent('m/pump/here', 'online', 0, true),
      sent('m/pump/here', 'offline', 9),
      sent('m/pump/mode', 'auto'),
    ]);
    expect(told(found)).toEqual({
      'm/pump/here': 'sure presence',
      'm/pump/mode': 'maybe unclear',
    });
  });

  it('lets a retained number speak only where there is no other', () => {
    const found = guessed([
      sent('m/a/energy_kwh', '900', 0, true),
      sent('m/a/energy_kwh', '12.0', 1),
      sent('m/a/energy_kwh', '12.1', 60),
      sent('m/b/temp', '25.5', 0, true),
    ]);
    expect(told(found)).toEqual({
      'm/a/energy_kwh': 'sure counter kWh',
      'm/b/temp': 'sure temperature C',
    });
  });

  it('marks what a feed reads already', () => {
    const book = { feedsOf: (topic: string) => (topic === 'm/a/power' ? ['plugs'] : []) };
    const found = guessed([sent('m/a/power', '5'), sent('m/b/power', '5')], { book });
    expect(found.map(({ claimedBy }) => claimedBy)).toEqual([['plugs'], []]);
  });
});

describe('a survey', () => {
  it('keeps within its size and says what it overlooked', () => {
    const survey = createSurvey({ places: 10, samples: 50 });
    for (let index = 0; index < 1000; index += 1) {
      survey.add(sent('m/steady', String(index), index));
      survey.add(sent(`m/${index}`, { power: index }, index));
    }
    const observations = survey.observations();
    expect(observations).toHaveLength(10);
    expect(survey.overlooked()).toBe(991);
    const steady = observations.find(({ topic }) => topic === 'm/steady');
    expect(steady?.samples.length).toBeLessThanOrEqual(50);
    expect(steady?.samples[0]?.value).toBe(0);
    const values = steady?.samples.map(({ value }) => value) ?? [];
    expect(values).toEqual([...values].sort((a, b) => a - b));
  });

  it('survives any payload', () => {
    const survey = createSurvey();
    const deep = `${'[1,'.repeat(20_000)}2${']'.repeat(20_000)}`;
    for (const text of [
      '',
      '{',
      'null',
      '[]',
      deep,
      '"x"',
      '1e999',
      '{"a":{"":[null,true,"5,5"]}}',
    ]) {
      survey.add(sent('any', text));
    }
    survey.add({
      topic: 'any',
      payload: new Uint8Array(70_000),
      retained: false,
      arrived: instant(NOON),
    });
    const commas = survey.observations().find(({ at }) => at === '/a//2');
    expect(commas).toMatchObject({ decimalComma: true });
    expect(commas?.samples[0]?.value).toBe(5.5);
  });
});
