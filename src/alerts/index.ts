export type { Alert, AlertState, AlertText, Delivery } from './alert.ts';
