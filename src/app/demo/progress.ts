import type { Instant, Span } from '../../units/index.ts';
import { createProgressBar, type Screen } from '../progress-bar.ts';

/** How far the past weeks have been read in, and how fast. */
export interface Progress {
  at(moment: Instant, messages: number): void;
  /** How far it is, 0–1. */
  done(): number;
  /** Leaves nothing of the bar on a terminal. */
  end(): void;
}

export function createProgress(
  out: Screen,
  span: Span,
  ticks: () => number = () => performance.now(),
): Progress {
  const bar = createProgressBar(out, 'reading in past weeks');
  const started = ticks();
  let done = 0;

  function speed(messages: number): string {
    const seconds = (ticks() - started) / 1000;
    const rate = seconds > 0 ? Math.round(messages / seconds) : 0;
    return `${rate.toLocaleString('en')} messages/s`;
  }

  return {
    at(moment, messages) {
      const length = span.to - span.from;
      done = length > 0 ? Math.min(1, Math.max(0, (moment - span.from) / length)) : 1;
      bar.at(done, () => speed(messages));
    },
    done: () => done,
    end: bar.end,
  };
}
