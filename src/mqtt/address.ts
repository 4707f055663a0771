import { CodedError } from '../units/index.ts';

/** Where a broker listens. `text` names it for people and never holds a user or password. */
export interface BrokerAddress {
  readonly secure: boolean;
  readonly host: string;
  readonly port: number;
  readonly text: string;
}

const DEFAULT_PORT = { 'mqtt:': 1883, 'mqtts:': 8883 } as const;

/**
 * Reads `mqtt://host:port` or `mqtts://host:port`; the port may be left out.
 *
 * @throws CodedError AMP_MQTT_URL for anything else. A URL that holds a user or password is refused
 * without repeating it: command lines and logs are read by others.
 */
export function brokerAddress(url: string): BrokerAddress {
  if (url.includes('@')) {
    throw new CodedError('AMP_MQTT_URL', 'the broker’s URL holds a user or password', {
      remedy: 'leave them out of the URL and give them as user and password',
    });
  }
  // The error of the URL parser repeats its input, so it is not kept as the cause.
  const parsed = URL.canParse(url) ? new URL(url) : undefined;
  const protocol = parsed?.protocol;
  if (
    parsed === undefined ||
    (protocol !== 'mqtt:' && protocol !== 'mqtts:') ||
    parsed.hostname === '' ||
    (parsed.pathname !== '' && parsed.pathname !== '/')
  ) {
    throw new CodedError(
      'AMP_MQTT_URL',
      `'${url.slice(0, 120)}' is not the URL of an MQTT broker`,
      {
        remedy: 'write mqtt://host:port, or mqtts://host:port for TLS',
      },
    );
  }
  const host = parsed.hostname.replace(/^\[(.*)\]$/, '$1');
  const port = parsed.port === '' ? DEFAULT_PORT[protocol] : Number(parsed.port);
  return {
    secure: protocol === 'mqtts:',
    host,
    port,
    text: `${protocol}//${parsed.hostname}:${port}`,
  };
}
