export default ({ seed }) => {
  const held = []
  while (seed === 1) held.push(Array.from({ length: 100_000 }, (_, i) => ({ i })))
  return { score: 1 + held.length }
}
