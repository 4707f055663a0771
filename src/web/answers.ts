import { randomBytes } from 'node:crypto';
import type { PageAnswer } from './asking.ts';

/** Answers that wait for the page that shows them; the oldest go when nobody comes for them. */
export interface Answers {
  /** The key under which the answer can be had once. Nobody can guess one, or make one up. */
  keep(answer: PageAnswer): string;
  take(key: unknown): PageAnswer | undefined;
}

const MOST_WAITING = 32;

export function createAnswers(): Answers {
  const waiting = new Map<string, PageAnswer>();
  return {
    keep(answer) {
      const [oldest] = waiting.keys();
      if (oldest !== undefined && waiting.size >= MOST_WAITING) waiting.delete(oldest);
      const key = randomBytes(16).toString('base64url');
      waiting.set(key, answer);
      return key;
    },
    take(key) {
      if (typeof key !== 'string') return undefined;
      const answer = waiting.get(key);
      waiting.delete(key);
      return answer;
    },
  };
}
