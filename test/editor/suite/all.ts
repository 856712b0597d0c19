// Every module of the suite, in the order in which they run.
import './opening';
import './hovering';
import './fixing';
import './json';
import './headers';
import './navigating';
import './hints';
import './teaching';
import './board';
import './status';
import './comparing';
import './commenting';
import './commands';
