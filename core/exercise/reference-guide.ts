/** A whole exercise, as small as one can be, that uses a value of a case, a drawn case and a constant. Taken as it stands. */
export const exampleDocument = `format: hexcairn-exercise/1
id: add-fare
title: Add the fare
board: bench-8
brief: |
  Add {fare} to the byte at 4600h and leave the sum at 4601h. End with HALT.
constants:
  - { name: fare, from: 3, to: 20 }
cases:
  - id: seven
    title: Seven in the till
    given: { memory: [{ at: 4600h, bytes: '07' }] }
  - id: any
    visible: false
    draws: [{ at: 4600h, from: 0, to: 200 }]
    times: 8
groups:
  - { id: function, title: What it does, marks: 80 }
  - { id: care, title: Care, marks: 20, restsOn: [sum] }
checks:
  - id: sum
    kind: memory
    title: The sum is right
    group: function
    want: [{ at: 4601h, bytes: model }]
    elsewhere: unchanged
  - id: size
    kind: size
    title: At most 12 bytes
    group: care
    max: 12
hints:
  - rung: point
    ask: Which register holds the sum?
    say: The sum is in A after ADD. It still has to be stored.
    checks: [sum]
model:
  format: assembly
  text: |
    LD A,(4600H)
    ADD A,FARE
    LD (4601H),A
    HALT
`

/** What to know before the tables are of use. */
export const guide = `An exercise is one text in YAML: the task, the runs on which a hand-in is tried, and what is checked on them. This page
lists every field. It is made from the program that reads the document, so the two agree.

## A small exercise

\`\`\`yaml
${exampleDocument}\`\`\`

A **case** is one run: what the machine holds at its start, and how long it may take. A **check** looks at the runs of its
cases and is right when all of them are. Checks belong to **groups**; the groups share 100 marks, and in a group the checks
share them by weight.

A check gives all its marks or none, or, with \`credit: runs\`, as many as the share of its runs that are right, or, with
\`credit: parts\`, as the share of its bytes, registers, digits, signs, lamp patterns, tones or keys that are; what was right before the
program ran earns nothing, and neither does a program that leaves the same in every run where others are wanted. A right byte
in the place of another, or one or two places off, earns half. What stands in memory counts too where the run does not end, if a
check \`run-end\` takes the missing end for itself. A tone, sign or pattern left out, or one too many, costs one and not all behind it. A group, or a check, that \`restsOn\` others counts in
full once those have earned half of their own marks, and before that in proportion.

## How values are written

- A number: \`55\`, \`37h\`, \`0x37\` or \`00110111b\`.
- Bytes: pairs of hexadecimal digits in quotes, \`'3E 05'\`, or a list of numbers, \`[62, 5]\`. One byte needs its quotes, or
  YAML takes \`37\` for a decimal number.
- A time: \`1250 T\` (T-states), \`20 us\`, \`250 ms\`, \`2 s\`. A number alone counts T-states.
- A tolerance: \`±1 %\` or \`1 %\`, \`26 T\`, \`2 ms\`, as the field says. The limit itself is still right.
- \`model\`, in place of a value: what the model answer left in the same run.
- Several values of which each is right, for a register, a byte of a block or a word: \`{ of: [1, 2, 4] }\`,
  \`{ from: 30h, to: 39h }\` (unsigned, one end may be left out), \`{ value: 80h, mask: F0h }\` (the bits of the mask count, the
  others may hold anything). A byte that may hold anything is \`any\`.

## Values that differ

- **From case to case:** a case has \`expect: { sum: 2C 1C }\`, a check writes \`bytes: $sum\`.
- **From run to run:** a case with \`draws\` and \`times\` is run several times with drawn values, the same for every student.
  What is right is then what the model answer gives, \`model\`.
- **At the limits:** \`boundaries: true\` beside the draws adds a run for each limit of each value (lowest, highest, 0, 1, 7Fh, 80h,
  FFh, 100h, first and last place, all equal), named by it: "4600h = 80h".
- **Within a run:** a check with \`when\` looks at a moment in place of the end: a time, the nth time that an address is reached,
  the nth call of a routine that has come back. A case with \`calls\` calls the program several times in one run, all registers made
  different in between; \`when: { call: each }\` looks after each of them, with the values that the call expects.
- **From student to student:** each of the \`constants\` is drawn from the student's own seed. \`$fare\` stands for it in \`given\`,
  \`cases\` and \`checks\`, whole or as an item of a list; \`{fare}\` puts it into the brief, hints, cards, titles and notes; the model
  answer and the instructor's driver have it as the name FARE. The student's program has to hold the value itself: bytes copied
  from a neighbour are wrong.

## Who sees what

- A check with \`visible: false\` tells its kind and whether it passed, nothing else. A case with \`visible: false\` tells nothing.
- A check with \`tells: result\` says right or wrong, and not what would be right.
- A hint's question comes first; what it says comes after an answer of at least 15 characters.
- With \`nearlyRight: 60\` a program that one changed, missing or extra byte or instruction keeps from full marks has 60 of 100
  marks at least. The edit is found and tried by the grader; the report says that there is one and not where.
- The model answer is for staff. With \`compare: students\` its run stands beside the student's own; with \`repair: shown\` a
  student may see a change that would make the hand-in pass, with \`narrowed\` (the rule) only where it lies.

## Wrong documents

Every mistake is named with its place and its line, what was found and what may stand there. Nothing is guessed and no field is
passed over: a misspelt field is a mistake too.`
