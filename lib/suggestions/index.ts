export { changesOf, type Change } from './changes'
export { CAN_STOP, suggest, withChange, type Effect, type Suggestion } from './suggest'
