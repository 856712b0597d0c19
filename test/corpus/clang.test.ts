import { describeCorpus } from './corpus';

describeCorpus('clang');
