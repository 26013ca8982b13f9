export * from './read-picture'
export * from './without-extras'
