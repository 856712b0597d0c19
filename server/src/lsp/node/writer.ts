import { type Message, StreamMessageWriter } from 'vscode-languageserver/node';
import { asciiJson, writerOf } from '../answerText';

/** Writes messages as the protocol library does, in ASCII and long answers from what was written before. */
export const answerWriter = (stream: NodeJS.WritableStream): StreamMessageWriter =>
  new StreamMessageWriter(stream, {
    charset: 'utf-8',
    contentTypeEncoder: { name: 'application/json', encode: async (message) => bytesOf(message) },
  });

/** Where long answers are put together; it grows to the longest of them. */
let draft = Buffer.alloc(0);

/** @returns the message as JSON, in ASCII */
export function bytesOf(message: Message & { readonly id?: unknown; readonly result?: unknown }): Buffer {
  const write = writerOf(message.result);
  if (!write) return Buffer.from(asciiJson(message), 'latin1');
  let length = 0;
  const add = (text: string): void => {
    if (length + text.length > draft.length) {
      const larger = Buffer.allocUnsafe(2 * (length + text.length));
      draft.copy(larger, 0, 0, length);
      draft = larger;
    }
    length += draft.write(text, length, 'latin1');
  };
  add(`{"jsonrpc":"2.0","id":${asciiJson(message.id)},"result":`);
  write(add);
  add('}');
  return Buffer.from(draft.subarray(0, length));
}
