export * from './decode-text'
export * from './read-table'
export * from './row-problem'
