/** What a new exercise begins with: the smallest document that grades something, to be changed line by line. */
export const starter = `format: hexcairn-exercise/1
id: N1
title: A new exercise
board: bench-8
brief: |
  Put 37h at 4600h, then halt.
cases:
  - id: plain
    title: As it is
groups:
  - { id: function, title: What it does, marks: 80 }
  - { id: care, title: Size, marks: 20 }
checks:
  - id: byte
    kind: memory
    title: 37h stands at 4600h
    group: function
    want: [{ at: 4600h, bytes: '37' }]
  - id: size
    kind: size
    title: At most 12 bytes
    group: care
    max: 12
model:
  format: assembly
  text: |
    LD A,37h
    LD (4600h),A
    HALT
`
