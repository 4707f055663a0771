import { z } from 'zod';

const embedded = z.strictObject({
  kind: z.literal('embedded'),
  port: z
    .number()
    .int()
    .min(0)
    .max(65_535)
    .default(1883)
    .describe('On 127.0.0.1 only; 0 takes any free port.'),
});

const external = z.strictObject({
  kind: z.literal('external'),
  url: z
    .string()
    .regex(/^mqtts?:\/\/[^@/]+$/, 'mqtt://host:port or mqtts://host:port, without a password in it')
    .describe('Where it listens: mqtt://host:port, or mqtts://host:port for TLS.'),
  user: z.string().optional().describe('The name to log in with.'),
  password: z.string().optional().describe('Best as ${file:PATH} or ${env:NAME}.'),
  client_id: z.string().max(128).optional().describe('Default: ampulla-SITE.'),
  ca_file: z.string().optional().describe('PEM file of the authority that signed the broker.'),
  protocol: z
    .enum(['auto', '5', '3.1.1'])
    .default('auto')
    .describe('auto: version 5, and 3.1.1 where the broker does not speak it.'),
  silence_limit_s: z
    .number()
    .min(10)
    .default(300)
    .describe('With nothing heard for this long the connection is made anew.'),
});

export const brokerConfig = z
  .discriminatedUnion('kind', [embedded, external])
  .describe('The MQTT broker: your own, or one inside the daemon.');

export const publishConfig = z
  .strictObject({
    root: z
      .string()
      .regex(/^[^+#/\s]+(\/[^+#/\s]+)*$/, 'topic levels without + or #')
      .optional()
      .describe('Where the daemon publishes its own state and alerts. Default: ampulla/SITE.'),
  })
  .describe('The daemon’s own topics.');

export type BrokerConfig = z.infer<typeof brokerConfig>;
export type PublishConfig = z.infer<typeof publishConfig>;
