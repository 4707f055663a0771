import type { Instant, Span } from '../../units/index.ts';

const WIDTH = 30;

/** A progress bar on a terminal, a line every tenth elsewhere. */
export function createProgress(
  out: NodeJS.WriteStream,
  span: Span,
): { at(moment: Instant, messages: number): void; done(): number; end(): void } {
  const started = performance.now();
  let done = 0;
  let shown = -1;

  function line(messages: number): string {
    const rate = Math.round(messages / ((performance.now() - started) / 1000));
    const filled = Math.round(done * WIDTH);
    const bar = '#'.repeat(filled) + '.'.repeat(WIDTH - filled);
    return `reading in past weeks  ${bar}  ${Math.floor(done * 100)} %  ${rate.toLocaleString('en')} messages/s`;
  }

  return {
    at(moment, messages) {
      done = Math.min(1, Math.max(0, (moment - span.from) / (span.to - span.from)));
      const step = Math.floor(done * (out.isTTY ? 200 : 10));
      if (step === shown) return;
      shown = step;
      out.write(out.isTTY ? `\r${line(messages)}` : `${line(messages)}\n`);
    },
    done: () => done,
    end() {
      if (out.isTTY) out.write('\n');
    },
  };
}
