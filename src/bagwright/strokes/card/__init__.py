"""The solver on an NVIDIA card: kernels in CUDA C (the .cu files), their inputs, their order."""
