import type { ThumbParameter } from '../thumb-parameters'

/** What is tried first when a driver says so. Common practice, no source, and marked so; the list is the team's to change. */
export const STARTER_RULES_OF_THUMB: readonly {
  id: string
  name: string
  wordId: string
  parameter: ThumbParameter
  direction: 'up' | 'down'
}[] = [
  {
    id: 'thumb-loose-spring',
    name: 'Softer rear springs',
    wordId: 'word-loose',
    parameter: 'springRear',
    direction: 'down',
  },
  {
    id: 'thumb-loose-bar',
    name: 'Thinner rear anti-roll bar',
    wordId: 'word-loose',
    parameter: 'antiRollBarRear',
    direction: 'down',
  },
  {
    id: 'thumb-pushes-spring',
    name: 'Softer front springs',
    wordId: 'word-pushes',
    parameter: 'springFront',
    direction: 'down',
  },
  {
    id: 'thumb-lazy-rate',
    name: 'More steering throw',
    wordId: 'word-lazy',
    parameter: 'steeringDualRate',
    direction: 'up',
  },
  {
    id: 'thumb-nervous-rate',
    name: 'Less steering throw',
    wordId: 'word-nervous',
    parameter: 'steeringDualRate',
    direction: 'down',
  },
  {
    id: 'thumb-bottoms-front',
    name: 'Higher front ride height',
    wordId: 'word-bottoms',
    parameter: 'rideHeightFront',
    direction: 'up',
  },
  {
    id: 'thumb-bottoms-rear',
    name: 'Higher rear ride height',
    wordId: 'word-bottoms',
    parameter: 'rideHeightRear',
    direction: 'up',
  },
  {
    id: 'thumb-bounces-oil',
    name: 'Thicker rear damper oil',
    wordId: 'word-bounces',
    parameter: 'oilRear',
    direction: 'up',
  },
  {
    id: 'thumb-rolls-height',
    name: 'Lower rear ride height',
    wordId: 'word-rolls',
    parameter: 'rideHeightRear',
    direction: 'down',
  },
  {
    id: 'thumb-brakes-weak',
    name: 'More brake',
    wordId: 'word-brakes-weak',
    parameter: 'brake',
    direction: 'up',
  },
  {
    id: 'thumb-brakes-lock',
    name: 'Less brake',
    wordId: 'word-brakes-lock',
    parameter: 'brake',
    direction: 'down',
  },
  {
    id: 'thumb-fades-pinion',
    name: 'A smaller pinion, for a cooler motor',
    wordId: 'word-fades',
    parameter: 'pinion',
    direction: 'down',
  },
]
