/** Stands for the document of a payload that is no JSON. */
export const NOT_JSON = Symbol('not JSON');

/** A payload that is decoded and parsed at most once, and only when somebody asks. */
export interface Payload {
  /** The bytes as UTF-8, without white space around; broken bytes become U+FFFD. */
  text(): string;
  /** The parsed document, or NOT_JSON. */
  json(): unknown;
}

export function openPayload(bytes: Uint8Array, utf8: TextDecoder): Payload {
  let text: string | undefined;
  let document: unknown;
  const asText = () => {
    text ??= utf8.decode(bytes).trim();
    return text;
  };
  return {
    text: asText,
    json() {
      if (document === undefined) {
        try {
          document = JSON.parse(asText());
        } catch {
          document = NOT_JSON;
        }
      }
      return document;
    },
  };
}
