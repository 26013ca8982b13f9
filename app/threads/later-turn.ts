/**
 * Arranges for a step in a later turn, each time that the function it gives is called. A message to oneself lets what was sent to this worker in before the
 * step, without the least delay that timers have.
 */
export function laterTurn(step: () => void): () => void {
  const turns = new MessageChannel()
  turns.port1.onmessage = () => step()
  return () => turns.port2.postMessage(null)
}
