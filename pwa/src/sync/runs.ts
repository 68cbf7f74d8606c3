/** Numbers as runs without a gap, from each run's first to its last. Pure. */
export function runs(numbers: readonly number[]): [from: number, to: number][] {
  const found: [number, number][] = []
  for (const number of [...new Set(numbers)].sort((a, b) => a - b)) {
    const last = found.at(-1)
    if (last && last[1] === number - 1) last[1] = number
    else found.push([number, number])
  }
  return found
}
