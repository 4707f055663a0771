const WIDTH = 30;
/** Back to the first column, and the line erased. */
const ANEW = '\r\u001b[2K';

/** Where lines are written: a terminal, or a file or pipe. */
export interface Screen {
  readonly isTTY?: boolean | undefined;
  write(text: string): unknown;
}

/** A bar that moves on a terminal, a line every tenth elsewhere. */
export interface ProgressBar {
  /** @param done 0–1 */
  at(done: number, more?: () => string): void;
  /** Leaves nothing of the bar on a terminal. */
  end(): void;
}

export function createProgressBar(out: Screen, what: string): ProgressBar {
  let shown = -1;
  const line = (done: number, more: string): string => {
    const filled = Math.round(done * WIDTH);
    const bar = '#'.repeat(filled) + '.'.repeat(WIDTH - filled);
    return `  ${what}  ${bar}  ${Math.floor(done * 100)} %  ${more}`.trimEnd();
  };
  return {
    at(done, more = () => '') {
      const step = Math.floor(done * (out.isTTY ? 200 : 10));
      if (step === shown) return;
      shown = step;
      const text = line(done, more());
      out.write(out.isTTY ? `${ANEW}${text}` : `${text}\n`);
    },
    end() {
      if (out.isTTY && shown >= 0) out.write(ANEW);
    },
  };
}
