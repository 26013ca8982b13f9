export { changesOf, PINION_REACH, type Change } from './changes'
export { suggest, type Effect, type Suggestion } from './suggest'
export { thumbSuggestions, type ThumbSuggestion } from './rules-of-thumb'
