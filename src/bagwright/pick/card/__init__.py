"""The kernel that works out bags on an NVIDIA card, in CUDA C."""
