/**
 * An error with a stable code. `message` says what and where; `remedy` says what to do.
 * Every code is listed in docs/errors.md; a test holds the list and the code against each other.
 */
export class CodedError extends Error {
  readonly code: `AMP_${string}`;
  readonly remedy: string | undefined;

  constructor(
    code: `AMP_${string}`,
    message: string,
    options: { remedy?: string; cause?: unknown } = {},
  ) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause });
    this.name = 'CodedError';
    this.code = code;
    this.remedy = options.remedy;
  }
}
