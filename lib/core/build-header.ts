/** The response header by which a page says of which build it is: what does not say so is no page of the board. */
export const BUILD_HEADER = 'x-stagecall-build'
