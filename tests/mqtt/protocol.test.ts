import { describe, expect, it } from 'vitest';
import { chooseAfter, firstChoice, type ProtocolAnswer } from '../../src/mqtt/protocol.ts';

const tried = (setting: 'auto' | '5' | '3.1.1', answers: ProtocolAnswer[]) => {
  let choice = firstChoice(setting);
  const versions = [choice.next];
  for (const answer of answers) {
    choice = chooseAfter(choice, answer);
    versions.push(choice.next);
  }
  return versions;
};

describe('the version of MQTT to try next', () => {
  it('is 5 at first, and stays when accepted', () => {
    expect(tried('auto', ['accepted', 'other', 'accepted'])).toEqual(['5', '5', '5', '5']);
  });

  it('is 3.1.1 after a refusal of version 5, and stays so', () => {
    expect(tried('auto', ['unsupported', 'accepted', 'dropped', 'other'])).toEqual([
      '5',
      '3.1.1',
      '3.1.1',
      '3.1.1',
      '3.1.1',
    ]);
  });

  it('changes after two drops in a row and back again, while none was ever accepted', () => {
    expect(tried('auto', ['dropped', 'dropped', 'dropped', 'dropped'])).toEqual([
      '5',
      '5',
      '3.1.1',
      '3.1.1',
      '5',
    ]);
  });

  it('does not change for drops once it was accepted: the broker is just restarting', () => {
    expect(tried('auto', ['accepted', 'dropped', 'dropped', 'dropped'])).toEqual([
      '5',
      '5',
      '5',
      '5',
      '5',
    ]);
  });

  it('follows a broker that was replaced by one that speaks another version', () => {
    expect(tried('auto', ['accepted', 'unsupported', 'accepted', 'unsupported'])).toEqual([
      '5',
      '5',
      '3.1.1',
      '3.1.1',
      '5',
    ]);
  });

  it('is never another than the config says', () => {
    expect(tried('3.1.1', ['unsupported', 'dropped', 'dropped'])).toEqual([
      '3.1.1',
      '3.1.1',
      '3.1.1',
      '3.1.1',
    ]);
    expect(tried('5', ['unsupported', 'dropped', 'dropped'])).toEqual(['5', '5', '5', '5']);
  });
});
