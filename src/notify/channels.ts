import type { Logger } from '../units/index.ts';
import type { Channel } from './channel.ts';
import type { NotifyConfig } from './config.ts';
import { createMailChannel } from './mail.ts';
import { createMqttChannel, type Publish } from './mqtt-channel.ts';
import { createWebhook } from './webhook.ts';

/**
 * Every channel of the configuration.
 * @throws CodedError AMP_NOTIFY_URL, AMP_NOTIFY_HEADER, AMP_NOTIFY_TEMPLATE,
 * AMP_NOTIFY_PLAIN_PASSWORD
 */
export function createChannels(
  { mqtt, webhooks, mail, page_url: pageUrl }: NotifyConfig,
  parts: { publish: Publish; root: string; logger: Logger },
): Channel[] {
  const { publish, root, logger } = parts;
  return [
    ...Object.entries(mail).map(([id, one]) => createMailChannel(id, one, { pageUrl })),
    ...Object.entries(webhooks).map(([id, one]) => createWebhook(id, one, { pageUrl, logger })),
    ...(mqtt.enabled ? [createMqttChannel({ publish, root })] : []),
  ];
}
