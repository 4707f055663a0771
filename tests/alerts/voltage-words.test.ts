import { describe, expect, it } from 'vitest';
import { alertText, renderJson } from '../../src/alerts/index.ts';
import { evidence } from './looks.ts';
import { now, SAMPLES, write } from './samples.ts';

const weak = SAMPLES['heater-weak'];
const volts = [evidence('voltage', 244.2, 'V'), evidence('reckoned-to-voltage', 230.1, 'V')];
const told = { ...weak, evidence: [...weak.evidence, ...volts] };

describe('a weak heater whose plug tells the voltage', () => {
  it('is told with it, and nobody is sent to look for low voltage', () => {
    const text = alertText(told, write, now);
    expect(text.evidence.at(-1)).toBe(
      'The mains is at 244 V; both powers are reckoned to 230 V, so that its voltage does not matter.',
    );
    expect([...text.evidence, ...text.todo].join(' ')).not.toMatch(/low mains|mains voltage/i);
  });

  it('has it in the JSON, with its unit', () => {
    const json = JSON.parse(
      renderJson(told, alertText(told, write, now), write, { change: 'opened', also: [] }),
    );
    expect(json.evidence.at(-1)).toMatchObject({ what: 'reckoned-to-voltage', voltage_v: 230.1 });
  });
});

describe('a weak heater whose plug does not tell the voltage', () => {
  it('leaves it to the keeper to compare with other heaters', () => {
    const { evidence: lines, todo } = alertText(weak, write, now);
    expect(lines.at(-1)).toMatch(/^Low mains voltage/);
    expect(todo.join(' ')).toMatch(/do other heaters draw less too/i);
  });
});
