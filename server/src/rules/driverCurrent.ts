export * from '../machine/driverCurrent';
