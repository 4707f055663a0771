import { ReasonCodes } from 'mqtt';
import { CodedError } from '../units/index.ts';
import type { BrokerAddress } from './address.ts';
import type { ProtocolAnswer } from './protocol.ts';

/** How a connection ended that we did not end ourselves. */
export interface Ending {
  /** The broker's CONNACK accepted us before the end. */
  readonly accepted: boolean;
  /** The socket (and TLS, where used) stood before the end. */
  readonly reached: boolean;
  /** The reason code of a CONNACK that refused us. */
  readonly refusal: number | undefined;
  /** The reason code of the broker's own DISCONNECT (version 5). */
  readonly dismissal: number | undefined;
  readonly error: Error | undefined;
}

const UNSUPPORTED_PROTOCOL = new Set([1, 132]);
const BAD_CREDENTIALS = new Set([4, 5, 134, 135, 138, 140]);
const BAD_CLIENT_ID = new Set([2, 133]);
const SESSION_TAKEN_OVER = 142;

/** What the ending says about the version of the protocol we spoke. */
export function answerOf(ending: Ending): ProtocolAnswer {
  if (ending.refusal !== undefined) {
    return UNSUPPORTED_PROTOCOL.has(ending.refusal) ? 'unsupported' : 'other';
  }
  return ending.reached && !ending.accepted && !isTls(ending.error) ? 'dropped' : 'other';
}

/** The ending as an error for people: what happened, where, what to do. Never holds a secret. */
export function explain(ending: Ending, broker: BrokerAddress, clientId: string): CodedError {
  const { refusal, dismissal, error } = ending;
  if (refusal !== undefined) {
    const reason = (ReasonCodes as Record<number, string>)[refusal] ?? `reason code ${refusal}`;
    return new CodedError('AMP_MQTT_REFUSED', `${broker.text} refused us: ${reason}`, {
      remedy: refusalRemedy(refusal),
    });
  }
  if (dismissal === SESSION_TAKEN_OVER) {
    return new CodedError(
      'AMP_MQTT_TAKEN_OVER',
      `another client came to ${broker.text} with our client id '${clientId}'`,
      { remedy: 'stop the other one, or give one of the two its own broker.client_id' },
    );
  }
  if (ending.accepted) {
    return new CodedError(
      'AMP_MQTT_LOST',
      `the connection to ${broker.text} ended${because(error)}`,
      // Most brokers end it without a word when the id is used twice.
      {
        remedy: `it is made anew; if it ends again and again, look for another client with the id '${clientId}'`,
      },
    );
  }
  if (isTls(error)) {
    return new CodedError(
      'AMP_MQTT_TLS',
      `no secure connection to ${broker.text}${because(error)}`,
      {
        remedy:
          'check that broker.ca_file signed the broker’s certificate, and that the certificate names the host in broker.url',
      },
    );
  }
  if (ending.reached) {
    return new CodedError(
      'AMP_MQTT_NO_ANSWER',
      `${broker.text} did not answer our CONNECT${because(error)}`,
      { remedy: 'check that an MQTT broker listens there, and whether it wants TLS (mqtts://)' },
    );
  }
  return new CodedError('AMP_MQTT_UNREACHABLE', `cannot reach ${broker.text}${because(error)}`, {
    remedy: 'check that the broker runs, and host and port in broker.url',
  });
}

function refusalRemedy(refusal: number): string {
  if (BAD_CREDENTIALS.has(refusal)) return 'check broker.user and broker.password';
  if (UNSUPPORTED_PROTOCOL.has(refusal)) return 'set broker.protocol to the version it speaks';
  if (BAD_CLIENT_ID.has(refusal)) return 'set broker.client_id to one that the broker allows';
  return 'look into the broker’s own log';
}

function because(error: Error | undefined): string {
  if (error === undefined) return '';
  // The error of a host with several addresses has a code but no text of its own.
  const text = error.message === '' ? codeOf(error) : error.message;
  return text === '' ? '' : `: ${text}`;
}

const codeOf = (error: Error): string => String((error as NodeJS.ErrnoException).code ?? '');

function isTls(error: Error | undefined): boolean {
  if (error === undefined) return false;
  const code = codeOf(error);
  return /^ERR_(TLS|SSL)_|CERT|_ISSUER_|SIGNATURE|^EPROTO$/.test(code);
}
