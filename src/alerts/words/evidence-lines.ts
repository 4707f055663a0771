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
  'learned-power': (value) => `It used to draw ${value}.`,
  'weaker-by': (value) => `That differs by ${value} from what was learned.`,
  duty: (value) => `It worked for ${value} of the time.`,
  'duty-span': (value) => `Looked at over ${value}.`,
  'short-by': (value) => `About ${value} are missing (reckoned).`,
  'tanks-short': (value) => `So it is with ${value} of the heated tanks here.`,
  'learned-over': (value) => `Its heat was learned over ${value}.`,
  'heat-worth': (value) => `The heat given is worth ${value} (reckoned).`,
  'switches-every': (value) => `It switches about every ${value}.`,
  'constant-for': (value) => `It has said the same for ${value}.`,
  'longest-constant': (value) => `It never said the same for longer than ${value} before.`,
  'expected-duty': (value) => `A part of ${value} of the time would be usual.`,
  'expected-from': (value) => `The usual begins at ${value} of the time.`,
  'expected-to': (value) => `The usual ends at ${value} of the time.`,
  'heated-and-cooled': (value) => `It was heated and cooled for ${value} of the day.`,
  'chiller-switch-on': (value) => `The chiller switches on at ${value}.`,
  moved: (_, { write }, { value }) =>
    `It moved by ${write.difference(Math.abs(value))} to the ${value < 0 ? 'cold' : 'warm'} side.`,
  'two-hour-change': (_, { write }, { value }) =>
    `Within two hours it ${value < 0 ? 'fell' : 'rose'} by ${write.difference(Math.abs(value))}.`,
  'half-hour-change': (_, { write }, { value }) =>
    `Within half an hour it ${value < 0 ? 'fell' : 'rose'} by ${write.difference(Math.abs(value))}.`,
};

export function evidenceLine(told: Told, evidence: Evidence): string {
  const value = told.write.value(evidence);
  const { subject } = evidence;
  if (subject !== undefined) return `${told.write.name(subject)}: ${bareLine(evidence, value)}`;
  const line = LINES[evidence.what];
  return line === undefined ? bareLine(evidence, value) : line(value, told, evidence);
}

function bareLine(evidence: Evidence, value: string): string {
  const words = evidence.what.replaceAll('-', ' ');
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}: ${value}.`;
}
