import type { Instant, Span } from '../../units/index.ts';

const WIDTH = 30;
/** Back to the first column, and the line erased. */
const ANEW = '\r\u001b[2K';

/** Where lines are written: a terminal, or a file or pipe. */
export interface Screen {
  readonly isTTY?: boolean;
  write(text: string): unknown;
}

/** A bar that moves on a terminal, a line every tenth elsewhere. */
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
  const started = ticks();
  let done = 0;
  let shown = -1;

  function line(messages: number): string {
    const seconds = (ticks() - started) / 1000;
    const rate = seconds > 0 ? Math.round(messages / seconds) : 0;
    const filled = Math.round(done * WIDTH);
    const bar = '#'.repeat(filled) + '.'.repeat(WIDTH - filled);
    return `  reading in past weeks  ${bar}  ${Math.floor(done * 100)} %  ${rate.toLocaleString('en')} messages/s`;
  }

  return {
    at(moment, messages) {
      const length = span.to - span.from;
      done = length > 0 ? Math.min(1, Math.max(0, (moment - span.from) / length)) : 1;
      const step = Math.floor(done * (out.isTTY ? 200 : 10));
      if (step === shown) return;
      shown = step;
      out.write(out.isTTY ? `${ANEW}${line(messages)}` : `${line(messages)}\n`);
    },
    done: () => done,
    end() {
      if (out.isTTY && shown >= 0) out.write(ANEW);
    },
  };
}
