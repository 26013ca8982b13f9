import type { ErrorFigure } from '../setup-math'

/**
 * Share of what the inputs do to a figure that they do to all figures together, as the simulator has it; the rest is each figure's own, since the simulator is
 * wrong about that, too. At 1 a reading of one figure tells as much of another as a perfect model lets it: charge, can and lap made the lowest voltage and the
 * top speed, which nobody had read, too narrow. Common practice, no source: set on referee seasons to build with.
 */
export const acrossFigures = 0.85

/** What the model leaves out of the charge the end voltage lacks as well: how much the model's errors of the two go together. As above. */
export const energyTogether = 0.8

/** Of charge and end voltage what is not all figures' is of the two together: the one lowers the other. */
export const isEnergy = (figure: ErrorFigure): boolean => figure === 'charge' || figure === 'endDrop'
