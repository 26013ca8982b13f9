/** A worked example: the list, and what it comes to. */
export const LAP_EXAMPLE = {
  list: '22.4 22.6 22.3 31.0 22.5',
  text: '22.4, 22.6, 22.3, 31.0 and 22.5 s: sum 120.8, mean 24.16, standard deviation 3.825, median 22.5, median distance to it 0.1, best three in a row 67.3 s. The crash in lap 4 makes the first spread, not the second.',
} as const
