import js from '@eslint/js'
import svelte from 'eslint-plugin-svelte'
import globals from 'globals'
import ts from 'typescript-eslint'

/** What the language itself supplies and core may not use: the same run must give the same report in any year. */
const nondeterminism = [
  { name: 'Date', message: 'core knows no clock: time is T-states.' },
  { name: 'performance', message: 'core knows no clock: time is T-states.' },
]

export default ts.config(
  { ignores: ['dist/', 'server/generated/', 'core/cpu/generated/', 'coverage/', '**/*.d.ts'] },
  js.configs.recommended,
  ...ts.configs.recommended,
  ...svelte.configs.recommended,
  {
    languageOptions: { globals: { ...globals.node } },
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-non-null-assertion': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      'no-undef': 'off',
      eqeqeq: 'error',
    },
  },
  {
    files: ['core/**/*.ts'],
    rules: {
      'no-restricted-globals': ['error', ...nondeterminism],
      'no-restricted-properties': ['error', { object: 'Math', property: 'random', message: 'core draws from a seed.' }],
    },
  },
  {
    files: ['web/**/*.svelte', 'web/**/*.svelte.ts'],
    languageOptions: { globals: { ...globals.browser }, parserOptions: { parser: ts.parser } },
    rules: { 'svelte/no-navigation-without-resolve': 'off' },
  },
)
