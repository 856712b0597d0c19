/** As much of sax as the tests use; it brings no types of its own. */
declare module 'sax' {
  interface Tag {
    readonly name: string;
    readonly attributes: Readonly<Record<string, string>>;
  }
  interface Parser {
    onerror: (error: Error) => void;
    onopentag: (tag: Tag) => void;
    ontext: (text: string) => void;
    write(text: string): Parser;
    close(): Parser;
  }
  export function parser(strict: boolean): Parser;
}
