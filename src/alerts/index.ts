export type { Alert, AlertState, AlertText, Delivery } from './alert.ts';
export { alertId, troubleKey, troubleKeyOf } from './alert-id.ts';
export {
  deliveriesFor,
  isDue,
  nextAttempt,
  type Outcome,
  type Recipient,
  settle,
  stateBody,
  type Takes,
} from './delivery.ts';
export type { Telling } from './gather.ts';
export { acknowledge, type Judgment, judge, retire } from './lifecycle.ts';
export {
  type AlertMemory,
  EMPTY_MEMORY,
  liveAlerts,
  readMemory,
  type Standing,
  standing,
  type Trouble,
} from './memory.ts';
export { DEFAULT_POLICY, type Policy } from './policy.ts';
export { type Message, renderJson, renderText } from './render.ts';
export { alertText, tellingText } from './text.ts';
export type { Change, Look, Step, Why } from './trouble.ts';
export { createWriter, type Names, type Phrasing, type Writer } from './writer.ts';
