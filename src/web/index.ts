export type { PageAnswer, PageRequest } from './asking.ts';
export type * from './room-view.ts';
export { startWeb, type WebServer } from './server.tsx';
