import { CodeActionKind } from 'vscode-languageserver';

export const fixAllKind = `${CodeActionKind.SourceFixAll}.fettle`;
export const codeActionKinds = [CodeActionKind.QuickFix, fixAllKind, CodeActionKind.RefactorRewrite];
