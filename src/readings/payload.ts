/** Stands for the document of a payload that is no JSON. */
export const NOT_JSON = Symbol('not JSON');

/** A payload that is decoded and parsed at most once, and only when somebody asks. */
export interface Payload {
  readonly bytes: Uint8Array;
  text: string | undefined;
  document: unknown;
}

const utf8 = new TextDecoder();

export const openPayload = (bytes: Uint8Array): Payload => ({
  bytes,
  text: undefined,
  document: undefined,
});

/** The bytes as UTF-8, without white space around; broken bytes become U+FFFD. */
export function textOf(payload: Payload): string {
  payload.text ??= utf8.decode(payload.bytes).trim();
  return payload.text;
}

/** The parsed document, or NOT_JSON. */
export function documentOf(payload: Payload): unknown {
  if (payload.document === undefined) {
    try {
      payload.document = JSON.parse(textOf(payload));
    } catch {
      payload.document = NOT_JSON;
    }
  }
  return payload.document;
}
