export * from './archive-api'
export * from './manifest'
export * from './part-name'
