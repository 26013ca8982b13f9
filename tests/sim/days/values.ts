import * as Y from 'yjs'

export const MEETING = 'day'
export const MEETING_ROOM = `meeting-${MEETING}`
/** The text that phones write by way of allowed work; everybody but guests may. */
export const OWN_COLLECTION = 'notes'

/** What phones wrote, in an update: `name#7`, and `!name#7` where its author may not. Each is written once. */
export function valuesIn(update: Uint8Array): string[] {
  const values: string[] = []
  for (const struct of Y.decodeUpdate(update).structs)
    if (struct instanceof Y.Item && struct.content instanceof Y.ContentAny)
      for (const value of struct.content.arr as unknown[])
        if (typeof value === 'string' && /^!?\w+#\d+$/.test(value)) values.push(value)
  return values
}
