import { describe, expect, it } from 'vitest';
import { alertText, createWriter, isSilent, readMemory } from '../../src/alerts/index.ts';
import type { BlindWatch, Subject, WatchName } from '../../src/watches/index.ts';
import { NIGHT } from './looks.ts';
import { names, now, SAMPLES } from './samples.ts';

const device = (id: string): Subject => ({ kind: 'device', id });
const blind = (subject: Subject, ...watches: readonly WatchName[]): BlindWatch[] =>
  watches.map((watch) => ({ watch, subject }));

function linesOf(watch: 'plug-silent' | 'probe-silent' | 'probe-frozen', all: BlindWatch[]) {
  const write = createWriter({
    names: { ...names, blindWithout: () => all },
    locale: 'en-CA',
    zone: 'UTC',
  });
  return alertText({ ...SAMPLES[watch], evidence: [] }, write, now).evidence;
}

describe('what goes unwatched while a plug or probe is silent', () => {
  it('is said in a keeper’s words, the gravest thing first', () => {
    const all = [
      ...blind(device('discus-filter'), 'pump-laboring', 'pump-stopped'),
      ...blind(
        device('discus-heater'),
        ...(['heater-drifting', 'heater-not-heating', 'heater-stuck-on'] as const),
        ...(['heater-chattering', 'heater-unheard', 'heater-weak'] as const),
        ...(['heater-against-chiller', 'heater-overmatched'] as const),
      ),
    ];
    expect(linesOf('plug-silent', all)).toEqual([
      'Not heard so far.',
      'Until it speaks again nobody would notice: Left heater stuck on, not heating, out of the tank, losing to the cold, weak, drifting, chattering or fighting the chiller.',
      'Nor: Big filter stopped or laboring.',
    ]);
  });

  it('is said of a probe that is frozen too, until it moves', () => {
    const tank = { kind: 'tank', id: 'discus' } as const;
    expect(linesOf('probe-frozen', blind(tank, 'tank-too-cold', 'tank-too-warm'))).toEqual([
      'Until it moves again nobody would notice: Discus basin too warm or too cold.',
    ]);
  });

  it('names four things, and counts the others', () => {
    const all = ['a', 'b', 'c', 'd', 'e', 'f'].flatMap((id) =>
      blind(device(id), 'heater-stuck-on'),
    );
    const lines = linesOf('probe-silent', all);
    expect(lines.slice(1)).toEqual([
      'Until it speaks again nobody would notice: a stuck on.',
      ...['b', 'c', 'd'].map((id) => `Nor: ${id} stuck on.`),
      'Nor what may befall 2 more.',
    ]);
  });

  it('is not spoken of where nothing does', () => {
    expect(linesOf('plug-silent', [])).toEqual(['Not heard so far.']);
  });
});

describe('whether a source is silent', () => {
  const alert = SAMPLES['plug-silent'];
  const memoryWith = (changes: object, ofAlert: object = {}) =>
    readMemory({
      version: 1,
      troubles: {
        'plug-silent:plug/shelf-left': {
          ...{ alert: { ...alert, ...ofAlert }, raisedFrom: NIGHT, quietFrom: null },
          ...{ unseenFrom: null, seen: NIGHT, refreshed: NIGHT, relapses: 0, ...changes },
        },
      },
    });

  it('is what its alert says, from the first suspicion on', () => {
    expect(isSilent(memoryWith({}), alert.subject as Subject)).toBe(true);
    expect(isSilent(memoryWith({}, { state: 'pending' }), alert.subject as Subject)).toBe(true);
    expect(isSilent(memoryWith({}), { kind: 'plug', id: 'another' })).toBe(false);
    expect(isSilent(memoryWith({}), { kind: 'tank', id: 'shelf-left' })).toBe(false);
  });

  it('is not so any more when it is heard, though the alert is still open', () => {
    expect(isSilent(memoryWith({ quietFrom: NIGHT }), alert.subject as Subject)).toBe(false);
    const over = memoryWith({}, { state: 'closed', closed: NIGHT });
    expect(isSilent(over, alert.subject as Subject)).toBe(false);
  });
});
