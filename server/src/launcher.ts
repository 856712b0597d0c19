import { limitHeap } from './heap';
import { launch } from './launch';

/** Given by esbuild.mjs. */
declare const PROGRAM: string;
declare const BUILD: string;

launch({ folder: __dirname, program: PROGRAM, build: BUILD, require, heap: limitHeap() });
