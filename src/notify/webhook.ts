import { type Logger, MINUTE, type Millis, SECOND } from '../units/index.ts';
import type { Attempt, Channel } from './channel.ts';
import type { WebhookConfig } from './config.ts';
import { readMessage } from './message.ts';
import { compileTemplate } from './template.ts';
import { type Address, readAddress } from './webhook-address.ts';

const NO_ANSWER = 'AMP_NOTIFY_NO_ANSWER';
const UNREACHABLE = 'AMP_NOTIFY_UNREACHABLE';
const HTTP_CODE = 'AMP_NOTIFY_HTTP';
const MOST_REDIRECTS = 3;
/** What of an answer's body is worth keeping, characters. */
const BODY_KEPT = 200;

/**
 * Sends each message, as its JSON or by the template, with an Idempotency-Key header: the delivery's
 * id, the same at every attempt. 2xx is delivered. 401, 403, 404, 405, 407 and 410 are the address's
 * or the key's fault: tried again, since the keeper may mend them. Other 4xx except 408, 425 and 429
 * are refused for good. Everything else, time limit and redirects to elsewhere included (a captive
 * portal looks like that), is tried again.
 * @throws CodedError AMP_NOTIFY_URL, AMP_NOTIFY_HEADER, AMP_NOTIFY_TEMPLATE
 */
export function createWebhook(
  id: string,
  config: WebhookConfig,
  { logger, pageUrl }: { logger: Logger; pageUrl?: string | undefined },
): Channel {
  const address = readAddress(`notify.webhooks.${id}`, config);
  const { template, content_type, severities, after_min } = config;
  const fill =
    template === undefined ? undefined : compileTemplate(id, template, content_type, pageUrl);
  const type = fill === undefined ? 'application/json' : content_type;
  const limit = config.timeout_s * SECOND;
  logger.debug({ webhook: id, host: address.url.host }, 'webhook ready');

  return {
    name: `webhook-${id}`,
    takes: 'messages',
    severities,
    after: (after_min * MINUTE) as Millis,
    async send(delivery): Promise<Attempt> {
      const signal = AbortSignal.timeout(limit);
      try {
        return await put(address, {
          method: config.method,
          body: fill === undefined ? delivery.body : fill(readMessage(delivery)),
          signal,
          headers: {
            ...address.headers,
            'content-type': `${type}; charset=utf-8`,
            'idempotency-key': delivery.id,
          },
        });
      } catch (cause) {
        const { host } = address.url;
        return signal.aborted
          ? {
              kind: 'failed',
              why: `${NO_ANSWER}: no answer from ${host} within ${config.timeout_s} s`,
              remedy: 'check that the other side runs, or raise timeout_s',
            }
          : {
              kind: 'failed',
              why: `${UNREACHABLE}: ${host} cannot be reached: ${faultOf(cause)}`,
              remedy: 'check host, port and the network',
            };
      }
    },
  };
}

async function put(address: Address, request: RequestInit): Promise<Attempt> {
  let { url } = address;
  for (let hops = 0; ; hops++) {
    const answer = await fetch(url, { ...request, redirect: 'manual' });
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

/** 307 and 308 keep the method; they are followed on the same host, or from http up to https. */
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
/** The address or the key to it is wrong: the message would be taken once that is mended. */
const MENDABLE: ReadonlySet<number> = new Set([401, 403, 404, 405, 407, 410]);

async function judge(answer: Response, address: Address): Promise<Attempt> {
  const { status } = answer;
  if (status >= 300 && status < 400) {
    answer.body?.cancel().catch(() => {});
    return {
      kind: 'failed',
      why: `${HTTP_CODE}: HTTP ${status}: redirected elsewhere, which is not followed`,
      remedy: 'give the address that it redirects to, if it is yours',
    };
  }
  const said = address.withoutSecrets(await startOf(answer));
  const why = `${HTTP_CODE}: HTTP ${status}${said === '' ? '' : `: ${said.slice(0, BODY_KEPT)}`}`;
  if (MENDABLE.has(status)) {
    return { kind: 'failed', why, permanent: true, remedy: 'check url, method and headers' };
  }
  if (status >= 400 && status < 500 && !PASSING.has(status)) return { kind: 'refused', why };
  const after = askedWait(answer.headers.get('retry-after'));
  const remedy = 'the other side is in trouble or asks to wait; it is tried again';
  return { kind: 'failed', why, remedy, ...(after === undefined ? {} : { after }) };
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
