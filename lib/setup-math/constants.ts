/** Standard acceleration of gravity, m/s². Exact by definition: 3rd CGPM (1901); NIST SP 811 (2008), B.8. */
export const g = 9.80665
/** Copper's resistance rises by this share per kelvin at 20 °C. IEC 60028 (1925): 0.00393 per °C. */
export const copperPerKelvin = 0.00393
/** Half width of a 90% interval in deviations of a normal law: its 95% point. NIST/SEMATECH e-Handbook 1.3.6.7.1 (1.645); digits by SciPy, from memory. */
export const z90 = 1.6448536269514722
/** One deviation of a normal law in median absolute deviations, 1 / Φ⁻¹(3/4). NIST/SEMATECH e-Handbook 1.3.5.6, from memory. */
export const sdPerMad = 1.4826
/** rad/s in one rpm: 2 pi / 60. */
export const radPerSecPerRpm = (2 * Math.PI) / 60
