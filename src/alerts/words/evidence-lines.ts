import type { Evidence } from '../../watches/index.ts';
import type { Told } from './told.ts';

/** A line for each kind of evidence that no sentence of its watch has used. */
const LINES: Readonly<Record<string, (value: string, told: Told, evidence: Evidence) => string>> = {
  'tank-temperature': (value, { medium }) => `${medium} is ${value}.`,
  'room-temperature': (value) => `The room is ${value}.`,
  power: (value) => `It draws ${value}.`,
  'on-power': (value) => `When it heats it draws ${value}.`,
  'set-point': (value) => `The thermostat is set to ${value}.`,
  'switch-off': (value) => `It usually switches off at ${value}.`,
  'switch-on': (value) => `It usually switches on at ${value}.`,
  'kept-max': (value) => `The kept maximum is ${value}.`,
  'kept-min': (value) => `The kept minimum is ${value}.`,
  'drawing-for': (value) => `It has been drawing power for ${value} without a break.`,
  'off-for': (value) => `It has drawn nothing for ${value}.`,
  'gone-for': (value) => `It has been off the air for ${value}.`,
  'longest-run': (value) => `Its longest run so far was ${value}.`,
  'half-hour-change': (_, { write }, { value }) =>
    `Within half an hour it ${value < 0 ? 'fell' : 'rose'} by ${write.difference(Math.abs(value))}.`,
};

export function evidenceLine(told: Told, evidence: Evidence): string {
  const value = told.write.value(evidence);
  const line = LINES[evidence.what];
  if (line !== undefined) return line(value, told, evidence);
  const words = evidence.what.replaceAll('-', ' ');
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}: ${value}.`;
}
