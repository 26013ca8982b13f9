export { changesOf, type Change } from './changes'
export { suggest, type Effect, type Suggestion } from './suggest'
