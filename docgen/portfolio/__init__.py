"""Many sites: found below a folder, built over any executor, rebuilt only where something that they used is another; and the register of them."""
