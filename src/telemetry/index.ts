export { createLogger } from './logger.ts';
