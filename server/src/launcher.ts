import { forLong } from './engine';
import { launch } from './launch';

/** Given by esbuild.mjs. */
declare const PROGRAM: string;
declare const BUILD: string;

launch({ folder: __dirname, program: PROGRAM, build: BUILD, require, engine: forLong() });
