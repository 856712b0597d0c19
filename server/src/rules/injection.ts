/** A into a pin's protection: data sheets that name a limit mostly say 5 mA; common practice, no source. */
export const USUAL_INJECTION = 0.005;
