import type { Outcome } from '../alerts/index.ts';
import { type Logger, type Millis, SECOND } from '../units/index.ts';
import type { Channel } from './channel.ts';
import type { WebhookConfig } from './config.ts';
import { type Address, readAddress } from './webhook-address.ts';

const MOST_REDIRECTS = 3;
/** What of an answer's body is worth keeping, characters. */
const BODY_KEPT = 200;

/**
 * POSTs each message as JSON with an Idempotency-Key header: the delivery's id, the same at every
 * attempt. 2xx is delivered; 4xx except 408, 425 and 429 is refused for good; everything else, time
 * limit and redirects to elsewhere included (a captive portal looks like that), is tried again.
 * @throws CodedError AMP_NOTIFY_URL, AMP_NOTIFY_HEADER
 */
export function createWebhook(
  id: string,
  config: WebhookConfig,
  { logger }: { logger: Logger },
): Channel {
  const address = readAddress(id, config);
  const limit = config.timeout_s * SECOND;
  logger.debug({ webhook: id, host: address.url.host }, 'webhook ready');

  return {
    name: `webhook-${id}`,
    takes: 'messages',
    async send(delivery) {
      const signal = AbortSignal.timeout(limit);
      try {
        return await post(address, delivery.id, delivery.body, signal);
      } catch (cause) {
        const why = signal.aborted
          ? `no answer from ${address.url.host} within ${config.timeout_s} s`
          : `${address.url.host} cannot be reached: ${faultOf(cause)}`;
        return { kind: 'failed', why };
      }
    },
  };
}

async function post(
  address: Address,
  key: string,
  body: string,
  signal: AbortSignal,
): Promise<Outcome> {
  let { url } = address;
  for (let hops = 0; ; hops++) {
    const answer = await fetch(url, {
      method: 'POST',
      body,
      signal,
      redirect: 'manual',
      headers: {
        ...address.headers,
        'content-type': 'application/json; charset=utf-8',
        'idempotency-key': key,
      },
    });
    if (answer.status >= 200 && answer.status < 300) {
      // The message is taken: whatever happens to the rest of the answer changes nothing.
      answer.body?.cancel().catch(() => {});
      return { kind: 'delivered' };
    }
    const next = nextHop(answer, url);
    if (next === undefined || hops >= MOST_REDIRECTS) return judge(answer, address);
    answer.body?.cancel().catch(() => {});
    url = next;
  }
}

/** 307 and 308 keep a POST a POST; they are followed on the same host, or from http up to https. */
function nextHop(answer: Response, from: URL): URL | undefined {
  const location = answer.headers.get('location');
  if (location === null || (answer.status !== 307 && answer.status !== 308)) return undefined;
  if (!URL.canParse(location, from)) return undefined;
  const to = new URL(location, from);
  const upgraded = to.protocol === 'https:' && from.protocol === 'http:';
  const sameHost = to.hostname === from.hostname && to.username === '' && to.password === '';
  return sameHost && (to.origin === from.origin || upgraded) ? to : undefined;
}

const PASSING: ReadonlySet<number> = new Set([408, 425, 429]);

async function judge(answer: Response, address: Address): Promise<Outcome> {
  const { status } = answer;
  if (status >= 300 && status < 400) {
    answer.body?.cancel().catch(() => {});
    return { kind: 'failed', why: `HTTP ${status}: redirected elsewhere, which is not followed` };
  }
  const said = address.withoutSecrets(await startOf(answer));
  const why = `HTTP ${status}${said === '' ? '' : `: ${said.slice(0, BODY_KEPT)}`}`;
  if (status >= 400 && status < 500 && !PASSING.has(status)) return { kind: 'refused', why };
  const after = askedWait(answer.headers.get('retry-after'));
  return after === undefined ? { kind: 'failed', why } : { kind: 'failed', why, after };
}

/** Only the form in seconds: the date form would need our clock to agree with theirs. */
function askedWait(header: string | null): Millis | undefined {
  if (header === null || !/^\d{1,6}$/.test(header)) return undefined;
  return (Number(header) * SECOND) as Millis;
}

/** The beginning of an answer on one line; what hangs or breaks off counts as said so far. */
async function startOf(answer: Response): Promise<string> {
  let text = '';
  const reader = answer.body?.pipeThrough(new TextDecoderStream()).getReader();
  try {
    while (reader !== undefined && text.length < 4 * BODY_KEPT) {
      const { done, value } = await reader.read();
      if (done) break;
      text += value;
    }
  } catch {
    // The status is what counts.
  }
  reader?.cancel().catch(() => {});
  return text
    .slice(0, 4 * BODY_KEPT)
    .replace(/[\p{C}\p{Zl}\p{Zp}\s]+/gu, ' ')
    .trim();
}

/** The system's code for what went wrong: messages may carry the address with its secrets. */
function faultOf(cause: unknown): string {
  for (let fault = cause; fault instanceof Error; fault = fault.cause) {
    if ('code' in fault && typeof fault.code === 'string') return fault.code;
    if (fault.cause === undefined) return fault.name;
  }
  return 'unknown fault';
}
