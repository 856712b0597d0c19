import { describeCorpus } from './corpus';

describeCorpus('gcc');
