"""The answers of the contract: records of the core as plain JSON values, sentences in the reader's words.

One module an answer, each imported by its name: what an answer does not need is not loaded.
"""
