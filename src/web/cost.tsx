import type { VNode } from 'preact';
import type { Sum } from './room-view.ts';
import { costOf } from './sums.ts';
import type { Words } from './words.ts';

/** A cost with its marks; those who listen to the page hear them as words. */
export function Cost({ sum, words }: { sum: Sum; words: Words }): VNode {
  const { text, about, more } = costOf(sum, words);
  return (
    <>
      {about && <Mark sign="~" title="not all of it measured" said="about " />}
      {text}
      {more && <Mark sign="+" title="not all of it known" said=" and more" />}
    </>
  );
}

export function Legend(): VNode {
  return (
    <p class="faint">
      <b>~</b> about: more than a tenth of it is reckoned, bridged, or divided by reckoning.{' '}
      <b>+</b> and more: part of it has no price, or nothing is known of more than a tenth of its
      time.
    </p>
  );
}

function Mark({ sign, title, said }: { sign: string; title: string; said: string }): VNode {
  return (
    <>
      <span aria-hidden="true" title={title}>
        {sign}
      </span>
      <span class="unseen">{said}</span>
    </>
  );
}
