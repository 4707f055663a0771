import type { Finding } from '../problem.ts';
import { exactlyOne, missingReference } from './references.ts';
import type { View } from './view.ts';

const SECTIONS = ['rooms', 'tanks', 'devices', 'plugs', 'probes'] as const;
const CHOICES = [...SECTIONS, 'housing'] as const;

/** The thresholds by which each is looked at. */
const LOOKED_AT: Readonly<Record<(typeof CHOICES)[number], RegExp>> = {
  rooms: /./,
  tanks: /^(?!room_cooling$)/,
  housing: /^(?!room_cooling$)/,
  devices: /^(heater|pump|air|light|mat)_/,
  plugs: /^silence$/,
  probes: /^silence$/,
};

/** Whom thresholds are overridden for exists, and has something that they are about. */
export function checkWatches(view: View): Finding[] {
  return (view.file.watches?.overrides ?? []).flatMap((override, index) => {
    const path = ['watches', 'overrides', index];
    return [
      ...exactlyOne(view, path, CHOICES, 'say whom it is for'),
      ...SECTIONS.flatMap((section) =>
        (override?.[section] ?? []).flatMap((id, at) =>
          missingReference(view, [...path, section, at], id, section),
        ),
      ),
      ...CHOICES.filter((choice) => view.given([...path, choice])).flatMap((choice) =>
        Object.keys(override ?? {})
          .filter((key) => !isChoice(key) && !LOOKED_AT[choice].test(key))
          .map((key) => idle([...path, key], choice, key)),
      ),
    ];
  });
}

const REMEDIES: Readonly<Record<string, string>> = {
  room_cooling: 'name the rooms that it is for',
  silence: 'name the plugs or probes that it is for, or their tanks or rooms',
};

const isChoice = (key: string): boolean => CHOICES.some((choice) => choice === key);

const idle = (path: Finding['path'], choice: string, key: string): Finding => ({
  code: 'AMP_CONFIG_THRESHOLD_IDLE',
  path,
  at: 'key',
  found: `thresholds of which ${choice} have none of their own`,
  allowed: `such as ${choice} are looked at by`,
  remedy: REMEDIES[key] ?? 'name the tanks that it is for, or their rooms',
});
