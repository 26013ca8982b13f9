import type { ChannelGroup, ChargeInstance, InstanceRun, StepOption } from './charge-instance'

interface GroupCharge {
  run: InstanceRun
  group: ChannelGroup
  option: StepOption
  start: number
}

/**
 * Gives each charge a channel of its group. Charges are intervals and the model keeps their number within what the
 * group has, so taking them by start never gets stuck; a channel that people already know for the run is preferred.
 */
export function assignChannels(
  instance: ChargeInstance,
  charges: readonly GroupCharge[],
): Map<InstanceRun, string> {
  const known = new Map(instance.input.known?.map((k) => [k.runId, k.charge?.channelId]))
  const freeFrom = new Map<string, number>()
  for (const g of instance.groups) g.channelIds.forEach((id, i) => freeFrom.set(id, g.from[i] ?? 0))
  const assigned = new Map<InstanceRun, string>()
  const unlimited = (g: ChannelGroup): boolean => instance.dropped.has(`channels:${g.id}`)
  for (const c of [...charges].sort((a, b) => a.start - b.start)) {
    const free = c.group.channelIds.filter((id) => (freeFrom.get(id) ?? 0) <= c.start)
    const wish = known.get(c.run.run.id)
    const channel =
      free.find((id) => id === wish) ?? free[0] ?? (unlimited(c.group) ? c.group.channelIds[0] : undefined)
    if (channel === undefined)
      throw new Error(`No channel is free for ${c.run.run.label}: the plan is not valid`)
    assigned.set(c.run, channel)
    freeFrom.set(channel, c.start + c.option.steps)
  }
  return assigned
}
