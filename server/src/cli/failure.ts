/** Something the user can put right: wrong arguments, a missing or unreadable file. Ends the command with exit code 2. */
export class Failure extends Error {
  constructor(
    message: string,
    /** What to do about it. */
    readonly advice?: string,
  ) {
    super(message);
    this.name = 'Failure';
  }
}

/** Exit codes of every command. */
export const exitCodes = { clean: 0, findings: 1, failure: 2 } as const;

/** Reason of a failed system call in plain words. */
export function reasonOf(error: unknown): string {
  const code = (error as NodeJS.ErrnoException | undefined)?.code;
  switch (code) {
    case 'ENOENT':
      return 'there is no such file or folder';
    case 'EACCES':
    case 'EPERM':
      return 'permission denied';
    case 'EISDIR':
      return 'it is a folder';
    case 'ENOTDIR':
      return 'a part of the path is no folder';
    case 'ELOOP':
      return 'its symbolic links go round in a circle';
    case 'ENAMETOOLONG':
      return 'the name is too long';
    case 'ENOSPC':
      return 'the disk is full';
    case 'EROFS':
      return 'the disk is read-only';
    default:
      return code ?? (error instanceof Error ? error.message : String(error));
  }
}
