"""`python -m qa_audit` is the same as `qa-audit`."""

from qa_audit.cli import main

if __name__ == "__main__":
    main()
