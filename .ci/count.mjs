// Prints "N passed, N failed" from vitest's JSON report, and exits with 1 unless all is well.
import { readFileSync } from 'node:fs';

const [file, brokenChecks, testsExit] = process.argv.slice(2);

function counted() {
  try {
    const { numPassedTests, numFailedTests, testResults } = JSON.parse(readFileSync(file, 'utf8'));
    // A file that can't be loaded fails without any test of its own failing.
    const brokenFiles = testResults.filter(
      ({ status, assertionResults }) => status === 'failed' && !assertionResults.some((one) => one.status === 'failed'),
    ).length;
    return { passed: numPassedTests, failed: numFailedTests + brokenFiles };
  } catch {
    console.log('The tests left no report.');
    return { passed: 0, failed: 1 };
  }
}

const { passed, failed } = counted();
// The runner may fail by itself, after all tests have passed.
const failedRun = testsExit !== '0' && failed === 0 ? 1 : 0;
const allFailed = failed + failedRun + Number(brokenChecks);
process.exitCode = allFailed === 0 && passed > 0 ? 0 : 1;
console.log(`${passed} passed, ${allFailed} failed`);
