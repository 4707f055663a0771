import type { VNode } from 'preact';
import { SmallPage } from './page-frame.tsx';

/** Says in plain words why there is nothing else to show. */
export function NoticePage({ title, lines }: { title: string; lines: readonly string[] }): VNode {
  return (
    <SmallPage title={title} heading={title}>
      {lines.map((line) => (
        <p key={line}>
          <bdi>{line}</bdi>
        </p>
      ))}
    </SmallPage>
  );
}
