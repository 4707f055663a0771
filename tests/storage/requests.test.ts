import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import {
  type Clerk,
  emptyBatch,
  openClerk,
  openStore,
  type Store,
} from '../../src/storage/index.ts';
import { noon } from './records.ts';
import { scratchFolder } from './scratch.ts';

let folder: ReturnType<typeof scratchFolder>;
let store: Store;
let clerk: Clerk;
beforeEach(() => {
  folder = scratchFolder();
  const file = join(folder.path, 'ampulla.db');
  store = openStore({ file });
  clerk = openClerk({ file });
});
afterEach(() => {
  clerk.close();
  store.close();
  folder.remove();
});

describe('what a keeper asks of the daemon', () => {
  it('waits, in the order it was asked, until it is answered in a commit', () => {
    const first = clerk.addRequest({ do: 'rest' }, noon);
    const second = clerk.addRequest({ do: 'sing' }, noon);
    expect(store.requests()).toEqual([
      { number: first, at: noon, request: { do: 'rest' } },
      { number: second, at: noon, request: { do: 'sing' } },
    ]);
    expect(clerk.answerTo(first)).toBeUndefined();
    const answer = { number: first, at: noon, done: true, words: 'it rests' };
    store.commit({ ...emptyBatch, answers: [answer] });
    expect(clerk.answerTo(first)).toEqual(answer);
    expect(store.requests().map(({ number }) => number)).toEqual([second]);
  });

  it('is forgotten when it is old and answered, and never before', () => {
    const waiting = clerk.addRequest({ do: 'wait' }, noon);
    clerk.together(() => {
      for (let asked = 0; asked < 1_100; asked += 1) clerk.addRequest({ asked }, noon);
    });
    const answers = store
      .requests()
      .filter(({ number }) => number !== waiting)
      .map(({ number }) => ({ number, at: noon, done: false, words: 'no' }));
    store.commit({ ...emptyBatch, answers });
    clerk.addRequest({ do: 'more' }, noon);
    expect(clerk.answerTo(waiting + 1)).toBeUndefined();
    expect(clerk.answerTo(1_100)?.words).toBe('no');
    expect(store.requests()[0]?.number).toBe(waiting);
  });
});
