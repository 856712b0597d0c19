import type { SemanticTokensLegend } from 'vscode-languageserver';
import { tokenModifiers, tokenTypes } from '../features/tokenKinds';

export const tokenLegend: SemanticTokensLegend = {
  tokenTypes: [...tokenTypes],
  tokenModifiers: [...tokenModifiers],
};
