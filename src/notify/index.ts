export type { Channel } from './channel.ts';
export type { WebhookConfig } from './config.ts';
export { type Courier, createCourier, type DeliveryStore } from './courier.ts';
export { createMqttChannel, type MqttChannel, type Publish } from './mqtt-channel.ts';
export { createWebhook } from './webhook.ts';
