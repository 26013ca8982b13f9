/** The day that moves: forecast, duties, charge plan, tires and crew. Pure functions on plain records. */
export * from './forecast/forecast-types'
export { defaultPrior, forecastRunningOrder } from './forecast/forecast-running-order'
export * from './duties/duty-types'
export { marshalDuties } from './duties/marshal-duties'
export { dutyClashes, standInsFor, type StandIn } from './duties/duty-clashes'
export { personalList, type PersonalItem } from './duties/personal-list'
