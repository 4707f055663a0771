export { checkCommand } from './commands/check.ts';
export { listenCommand } from './commands/listen.ts';
export { startCommand } from './commands/start.ts';
export { demoCommand } from './demo/index.ts';
