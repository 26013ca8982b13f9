export * from './check-picture'
export * from './read-picture'
export * from './without-extras'
