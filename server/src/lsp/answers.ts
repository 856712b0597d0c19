/**
 * Answers of earlier sessions, where there is a disk to keep them on. What is wrong with it counts as nothing kept: nothing here throws.
 */
export interface AnswerStore {
  /** What was kept under an equal key by this very program; its shape is for the caller to check. @param key plain data */
  find(key: readonly unknown[]): unknown;
  keep(key: readonly unknown[], answer: unknown): void;
  /** Equal for equal texts only. */
  hash(text: string): string;
}

/** @param folder absolute path; the user's own folder for such things when absent. @returns nothing where nothing can be kept */
export type OpenAnswers = (folder?: string) => AnswerStore | undefined;
