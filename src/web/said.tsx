import type { VNode } from 'preact';
import type { PageAnswer } from './asking.ts';

/** Where the browser goes after an answer, so that it is read out and in sight. */
export const SAID = 'said';

/** What became of the request that led to this page; told once. */
export function Said({ answer }: { answer: PageAnswer }): VNode {
  return (
    <p
      id={SAID}
      role="status"
      tabIndex={-1}
      class={`card said ${answer.done ? 'done' : 'refused'}`}
    >
      <bdi>{sentenceOf(answer)}</bdi>
    </p>
  );
}

export const sentenceOf = ({ done, words }: PageAnswer): string =>
  done ? `Done: ${words}.` : `Not done: ${words}.`;
