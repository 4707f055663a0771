export type {
  Alert,
  AlertState,
  AlertSubject,
  AlertText,
  AlertWatch,
  Delivery,
} from './alert.ts';
export { alertId, troubleKey, troubleKeyOf } from './alert-id.ts';
export {
  type Announcement,
  announce,
  type Circumstances,
  type Decision,
} from './announce.ts';
export { type ChannelFacts, type ChannelFailedReason, lookAtChannels } from './channel-failed.ts';
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
export type { News, Telling } from './gather.ts';
export { acknowledge, type Judgment, judge, retire, snooze } from './lifecycle.ts';
export {
  type AlertMemory,
  EMPTY_MEMORY,
  type Inhibited,
  inhibitedAlerts,
  isSilent,
  liveAlerts,
  readMemory,
  type Standing,
  standing,
  type Trouble,
} from './memory.ts';
export { DEFAULT_POLICY, type Policy } from './policy.ts';
export { type Message, renderJson, renderText } from './render.ts';
export { type Because, type Heard, isSnoozed, type Story } from './story.ts';
export { isQuiet, type TellingRules, tellingRules } from './telling-rules.ts';
export {
  type AfterTendingReason,
  beginTending,
  endTending,
  runningTendings,
  type Tending,
} from './tending.ts';
export { alertText, tellingText } from './text.ts';
export type { Change, Look, Step, Why } from './trouble.ts';
export { createWriter, type Names, type Phrasing, type Writer } from './writer.ts';
