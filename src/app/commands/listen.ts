import { parseArgs } from 'node:util';
import { createSystemClock } from '../clock.ts';
import { listen } from '../listening/listen.ts';

/** `ampulla listen`: watches a broker until the time is over or the keeper has seen enough. */
export async function listenCommand(args: string[]): Promise<number> {
  const { values } = parseArgs({
    args,
    options: {
      broker: { type: 'string' },
      user: { type: 'string' },
      'password-file': { type: 'string' },
      'ca-file': { type: 'string' },
      config: { type: 'string' },
      seconds: { type: 'string' },
      topic: { type: 'string' },
      out: { type: 'string' },
    },
  });
  const enough = new AbortController();
  for (const signal of ['SIGTERM', 'SIGINT'] as const) process.once(signal, () => enough.abort());
  return listen(
    {
      broker: values.broker,
      user: values.user,
      passwordFile: values['password-file'],
      caFile: values['ca-file'],
      config: values.config,
      seconds: values.seconds === undefined ? undefined : Number(values.seconds),
      topic: values.topic,
      out: values.out,
    },
    {
      stdout: process.stdout,
      stderr: process.stderr,
      env: process.env,
      clock: createSystemClock(),
      enough: enough.signal,
    },
  );
}
