/** A piece of the line: straight (curvature 0) or an arc, left or right. */
export interface PathPiece {
  lengthM: number
  /** 1/m, positive to the left. */
  curvature: number
  grip: number
  /** Roughness against the track's own. */
  rough: number
  /** Height of a jump in its middle, m; 0 is none. */
  jumpM: number
}

export interface Path {
  pieces: readonly PathPiece[]
  lengthM: number
  /** On a grid of `stepM`. */
  stepM: number
  curvature: Float64Array
  grip: Float64Array
  rough: Float64Array
  /** Retarding force over the weight (climb), 0 elsewhere; and the share of the load that the tires feel. */
  climb: Float64Array
  load: Float64Array
}

const stepM = 0.1

/**
 * The line on a grid. No car turns its wheels at once, so the curvature goes over from piece to piece along `rampM` (a moving mean), which keeps each piece's
 * angle. A jump costs its height on the way up over one meter, unloads the tires for the flight, and gives `returned` of it back where it lands.
 */
export function layPath(pieces: readonly PathPiece[], rampM: number, returned: number): Path {
  const lengthM = pieces.reduce((s, p) => s + p.lengthM, 0)
  const n = Math.round(lengthM / stepM)
  const at: PathPiece[] = []
  let end = 0
  let k = -1
  for (let i = 0; i < n; i++) {
    while (k < 0 || ((i + 0.5) * lengthM) / n > end) {
      k++
      end += pieces[k]?.lengthM ?? Infinity
    }
    at.push(pieces[Math.min(k, pieces.length - 1)] as PathPiece)
  }
  const half = Math.max(0, Math.round(rampM / stepM / 2))
  const curvature = Float64Array.from({ length: n }, (_, i) => {
    let sum = 0
    for (let d = -half; d <= half; d++) sum += (at[(i + d + n) % n] as PathPiece).curvature
    return sum / (2 * half + 1)
  })
  const climb = new Float64Array(n)
  const load = new Float64Array(n).fill(1)
  let begin = 0
  for (const p of pieces) {
    if (p.jumpM > 0) {
      const lip = begin + p.lengthM * 0.4
      // Flight at some 7 m/s: there and back down through the height.
      const flight = 7 * 2 * Math.sqrt((2 * p.jumpM) / 9.81)
      for (let i = 0; i < n; i++) {
        const x = i * stepM
        if (x >= lip - 1 && x < lip) climb[i] = p.jumpM
        else if (x >= lip && x < lip + flight) load[i] = 0.15
        else if (x >= lip + flight && x < lip + flight + 1) climb[i] = -returned * p.jumpM
      }
    }
    begin += p.lengthM
  }
  return {
    pieces,
    lengthM: n * stepM,
    stepM,
    curvature,
    grip: Float64Array.from(at, (p) => p.grip),
    rough: Float64Array.from(at, (p) => p.rough),
    climb,
    load,
  }
}

/** Index of the grid at a distance, any number of laps on. */
export function cellOf(path: Path, distanceM: number): number {
  const n = path.curvature.length
  const i = Math.floor(distanceM / path.stepM) % n
  return i < 0 ? i + n : i
}
