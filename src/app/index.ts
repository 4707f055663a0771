export { checkCommand } from './check.ts';
export { demoCommand } from './demo/index.ts';
export { listenCommand } from './listen-command.ts';
export { startCommand } from './start.ts';
