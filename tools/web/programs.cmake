# How everything is compiled for browsers, and how programs run in node on the files of this machine. All objects
# of a program throw in the same way and have the same vectors, with what every browser with vectors has; memory
# grows up to what 32 bits address.
add_compile_options(-fwasm-exceptions -msimd128 -mnontrapping-fptoint -msign-ext)
add_compile_options($<$<COMPILE_LANGUAGE:CXX>:-fno-rtti>) # names of types that nobody asks for: a tenth of the module
add_link_options($<$<CONFIG:Release>:-flto> -fwasm-exceptions -sENVIRONMENT=node -sNODERAWFS=1
  -sWASM_ASYNC_COMPILATION=0 -sEXIT_RUNTIME=1 -sALLOW_MEMORY_GROWTH=1 -sMAXIMUM_MEMORY=4GB)
