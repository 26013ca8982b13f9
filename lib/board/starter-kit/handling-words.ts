/** What drivers say of a car, to start from; the list is the team's to change. Words of the trade at large: common practice, no source. */
export const STARTER_HANDLING_WORDS: readonly { id: string; name: string; note: string }[] = [
  { id: 'word-loose', name: 'Loose', note: 'The rear slides first' },
  { id: 'word-pushes', name: 'Pushes', note: 'The front slides first' },
  { id: 'word-lacks-drive', name: 'Lacks drive', note: 'The driven wheels spin' },
  { id: 'word-lazy', name: 'Slow to turn', note: 'Late to answer the wheel' },
  { id: 'word-nervous', name: 'Nervous', note: 'Answers the wheel too sharply' },
  { id: 'word-bottoms', name: 'Bottoms out', note: 'The chassis hits the ground' },
  { id: 'word-bounces', name: 'Bounces', note: 'Does not settle over bumps' },
  { id: 'word-nose-down', name: 'Lands nose down', note: 'The front comes down first off a jump' },
  { id: 'word-tail-down', name: 'Lands tail down', note: 'The rear comes down first off a jump' },
  { id: 'word-rolls', name: 'Traction rolls', note: 'Tips over on grip' },
  { id: 'word-brakes-weak', name: 'Brakes too little', note: 'Runs on when the brakes are on' },
  { id: 'word-brakes-lock', name: 'Locks on the brakes', note: 'Wheels stop, or the rear steps out' },
  { id: 'word-punchy', name: 'Too much punch', note: 'Hard to feed the power in' },
  { id: 'word-short-of-speed', name: 'Short of speed', note: 'Others are faster on a straight' },
  { id: 'word-fades', name: 'Fades', note: 'Weaker toward the end of the run' },
  { id: 'word-good', name: 'Good here', note: 'Leave it as it is' },
]
