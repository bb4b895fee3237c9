"""Run the command given as arguments; print its seconds, most memory in KB, exit status and processor's seconds.

A process of its own, and a small one (only what Python itself has loaded): the system counts in a command's memory
what the process held that started it.
"""

import os
import sys
from time import perf_counter


def main(arguments: list[str]) -> None:
    """Run and print."""
    quiet = [(os.POSIX_SPAWN_OPEN, output, os.devnull, os.O_WRONLY, 0) for output in (1, 2)]
    start = perf_counter()
    process = os.posix_spawn(arguments[0], arguments, os.environ, file_actions=quiet)
    _, status, usage = os.wait4(process, 0)
    seconds = perf_counter() - start
    working = usage.ru_utime + usage.ru_stime
    sys.stdout.write(f"{seconds} {usage.ru_maxrss} {os.waitstatus_to_exitcode(status)} {working}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
