/** Node's own SQLite, of which the types of Node 20 know nothing: the package has its interface. */
declare module 'node:sqlite' {
  export { DatabaseSync, StatementSync } from '@photostructure/sqlite';
}
