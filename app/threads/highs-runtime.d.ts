/** The solver's WebAssembly: its address, beside the worker that loads it. */
declare module 'highs/runtime' {
  const address: string
  export default address
}
