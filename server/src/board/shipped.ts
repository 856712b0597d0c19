/** Shipped data are read by the same loader as a user's files: one grammar, one set of checks. */
export const shippedText = (data: object): string => JSON.stringify(data);
